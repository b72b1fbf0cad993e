// Travels: where all that moves is in each place of one, and what comes nearest there.
const STILL = new Float32Array([1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]);

class Travel {
  constructor({ name, drawn, driver, near, poses }) {
    Object.assign(this, { name, drawn, driver, near });
    this.values = new Float32Array(bytes(poses));
    this.count = driver.length;
  }

  // The pose of a mover in a place, column by column.
  pose(mover, place) {
    if (mover < 0) return STILL;
    const v = this.values.subarray(12 * (mover * this.count + place));
    return new Float32Array([v[0], v[4], v[8], 0, v[1], v[5], v[9], 0, v[2], v[6], v[10], 0, v[3], v[7], v[11], 1]);
  }

  // The poses of all movers in a place, each once, so that what goes together is drawn together.
  poses(place) {
    return Array.from({ length: this.values.length / 12 / this.count }, (_, mover) => this.pose(mover, place));
  }
}

function moved([x, y, z], m) {
  return [m[0] * x + m[4] * y + m[8] * z + m[12], m[1] * x + m[5] * y + m[9] * z + m[13], m[2] * x + m[6] * y + m[10] * z + m[14]];
}

// Of several equal shares of a list that long, which holds what is there.
function shareOf(part, at, length) { return Math.min(part.rides.length - 1, Math.floor(at * part.rides.length / length)); }

const TRAVELS = (DATA.travels || []).map((travel) => new Travel(travel));
PARTS.forEach((part, index) => { part.rides = DATA.rides?.[index] || null; });
