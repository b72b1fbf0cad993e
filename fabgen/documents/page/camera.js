// Where the looker stands: square projection, x forward, y left, z up as in the job.
const UPRIGHT = Math.PI / 2 - 1e-4;

class Camera {
  constructor() {
    this.turn = 2.45; // rad about z, from which side
    this.rise = 0.5; // rad above the floor
    this.at = [0, 0, 0];
    this.span = 1000; // mm that the shorter side of the view shows
    this.fitted = false; // whether all parts were fitted into the view and nothing was moved since
  }

  get axes() {
    const ct = Math.cos(this.turn), st = Math.sin(this.turn), cr = Math.cos(this.rise), sr = Math.sin(this.rise);
    return { right: [-st, ct, 0], up: [-sr * ct, -sr * st, cr], toward: [cr * ct, cr * st, sr] };
  }

  get stand() { return { turn: this.turn, rise: this.rise, at: [...this.at], span: this.span, fitted: this.fitted }; }

  set stand({ turn, rise, at, span, fitted }) { Object.assign(this, { turn, rise, at: [...at], span, fitted }); }

  // The side from which one looks.  `upright`: the view is higher than wide, so that one looks down more steeply.
  look(name, upright = false) {
    const stands = {
      corner: [2.45 - Math.PI * 1.06, upright ? 0.85 : 0.5], front: [0, 0], back: [Math.PI, 0], left: [Math.PI / 2, 0], right: [-Math.PI / 2, 0],
      above: [-Math.PI / 2, UPRIGHT], below: [-Math.PI / 2, -UPRIGHT],
    };
    [this.turn, this.rise] = stands[name];
  }

  swing(dx, dy) {
    this.fitted = false;
    this.turn -= dx;
    this.rise = Math.max(-UPRIGHT, Math.min(UPRIGHT, this.rise + dy));
  }

  // Moves by a share of the view's shorter side.
  shift(dx, dy) {
    this.fitted = false;
    const { right, up } = this.axes;
    for (let k = 0; k < 3; k++) this.at[k] -= (right[k] * dx + up[k] * dy) * this.span;
  }

  // Nearer by a factor, what lies under (x, y) staying there; x and y as for shift, from the middle.
  zoom(factor, x = 0, y = 0) {
    this.fitted = false;
    const before = this.span;
    this.span = Math.max(5, Math.min(200000, this.span / factor));
    const gone = 1 - this.span / before;
    const { right, up } = this.axes;
    for (let k = 0; k < 3; k++) this.at[k] += (right[k] * x + up[k] * y) * before * gone;
  }

  // Where to stand, looking the same way, so that all the parts given are seen in a view so many pixels wide and high.
  fitting(parts, width, height) {
    const { right, up, toward } = this.axes, low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
    for (const part of parts) {
      for (let i = 0; i < part.points.length; i += 3) {
        [right, up, toward].forEach((axis, k) => {
          const s = axis[0] * part.points[i] + axis[1] * part.points[i + 1] + axis[2] * part.points[i + 2];
          if (s < low[k]) low[k] = s;
          if (s > high[k]) high[k] = s;
        });
      }
    }
    const middle = low.map((s, k) => (s + high[k]) / 2), shorter = Math.min(width, height);
    return {
      ...this.stand,
      at: [0, 1, 2].map((k) => right[k] * middle[0] + up[k] * middle[1] + toward[k] * middle[2]),
      span: 1.12 * Math.max((high[0] - low[0]) * shorter / width, (high[1] - low[1]) * shorter / height, 20),
    };
  }

  // How far toward the looker the parts reach: least and most, mm, with a little to spare.  The less
  // is kept, the finer the depth is resolved.
  depths(parts) {
    const { toward } = this.axes, found = [Infinity, -Infinity];
    for (const part of parts) {
      const reach = (far) => toward.reduce((sum, s, k) => sum + s * ((s > 0) === far ? (part.most || part.high)[k] : (part.least || part.low)[k]), 0);
      found[0] = Math.min(found[0], reach(false));
      found[1] = Math.max(found[1], reach(true));
    }
    const spare = 10 + (found[1] - found[0]) * 0.02;
    return parts.length ? [found[0] - spare, found[1] + spare] : [-1, 1];
  }

  // Column by column, for points of the job to the screen's box.
  matrix(width, height, [back, front]) {
    const { right, up, toward } = this.axes, shorter = Math.min(width, height);
    const sx = 2 * shorter / width / this.span, sy = 2 * shorter / height / this.span, sz = -2 / (front - back);
    const dot = (axis) => axis[0] * this.at[0] + axis[1] * this.at[1] + axis[2] * this.at[2];
    return [0, 1, 2].flatMap((k) => [right[k] * sx, up[k] * sy, toward[k] * sz, 0]).concat([-dot(right) * sx, -dot(up) * sy, (front + back) / (front - back), 1]);
  }
}
