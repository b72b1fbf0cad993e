// The scene: arrays out of the page's data, and from them what the screen's hardware draws.
const DATA = JSON.parse(document.getElementById("data").textContent);

function bytes(text) {
  const raw = atob(text), out = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i++) out[i] = raw.charCodeAt(i);
  return out.buffer;
}

// Corners of one triangle share a normal with their neighbours' unless the skin turns sharply there.
const SHARP = Math.cos(33 * Math.PI / 180);

// Of a corner: where it is, its part's number, and its normal in a byte each way.
const STRIDE = 20;

function shaded({ points, triangles, index }, to) {
  const count = triangles.length / 3, flat = new Float32Array(triangles.length), size = new Float32Array(count);
  // The triangles at each corner, one list after the other.
  const first = new Uint32Array(points.length / 3 + 1), at = new Uint32Array(triangles.length);
  for (const v of triangles) first[v + 1]++;
  for (let v = 1; v < first.length; v++) first[v] += first[v - 1];
  const next = first.slice();
  for (let t = 0; t < count; t++) {
    const a = 3 * triangles[3 * t], b = 3 * triangles[3 * t + 1], c = 3 * triangles[3 * t + 2];
    const ux = points[b] - points[a], uy = points[b + 1] - points[a + 1], uz = points[b + 2] - points[a + 2];
    const vx = points[c] - points[a], vy = points[c + 1] - points[a + 1], vz = points[c + 2] - points[a + 2];
    flat[3 * t] = uy * vz - uz * vy;
    flat[3 * t + 1] = uz * vx - ux * vz;
    flat[3 * t + 2] = ux * vy - uy * vx;
    size[t] = Math.hypot(flat[3 * t], flat[3 * t + 1], flat[3 * t + 2]) || 1;
    for (let k = 0; k < 3; k++) at[next[triangles[3 * t + k]]++] = t;
  }
  for (let t = 0; t < count; t++) {
    for (let k = 0; k < 3; k++) {
      const v = triangles[3 * t + k], n = 3 * t;
      let x = 0, y = 0, z = 0;
      for (let i = first[v]; i < first[v + 1]; i++) {
        const o = 3 * at[i], dot = flat[n] * flat[o] + flat[n + 1] * flat[o + 1] + flat[n + 2] * flat[o + 2];
        if (dot < SHARP * size[t] * size[at[i]]) continue;
        x += flat[o]; y += flat[o + 1]; z += flat[o + 2];
      }
      const long = Math.hypot(x, y, z) || 1;
      to.corner(points[3 * v], points[3 * v + 1], points[3 * v + 2], index, x / long, y / long, z / long);
    }
  }
}

// One list for all parts: a part's own stretch of it is drawn by where it begins and how long it is.
class Corners {
  constructor(count) {
    this.data = new ArrayBuffer(count * STRIDE);
    this.real = new Float32Array(this.data);
    this.small = new Int8Array(this.data);
    this.count = 0;
  }

  corner(x, y, z, part, nx, ny, nz) {
    const at = this.count++ * STRIDE / 4, small = 4 * at + 16;
    this.real[at] = x;
    this.real[at + 1] = y;
    this.real[at + 2] = z;
    this.real[at + 3] = part + 1;
    this.small[small] = Math.round(127 * nx);
    this.small[small + 1] = Math.round(127 * ny);
    this.small[small + 2] = Math.round(127 * nz);
  }
}

// The parts in the data, each with its corners; lists of places of corners are shared by bodies.
function partsOf(data) {
  const places = data.places.map((text) => new (text[0] === "w" ? Uint32Array : Uint16Array)(bytes(text.slice(1))));
  return data.parts.map(({ v, t, e, box, ...part }, index) => {
    const low = box.slice(0, 3), high = box.slice(3), step = low.map((s, k) => (high[k] - s) / 65535);
    const points = Float32Array.from(new Uint16Array(bytes(v)), (s, i) => low[i % 3] + s * step[i % 3]);
    return { ...part, index, points, low, high, triangles: places[t], lines: places[e] };
  });
}

const PARTS = partsOf(DATA);
// Wheels, dampers and envelopes are seen, but have no sheet.
const BY_MARK = new Map(PARTS.filter((part) => !part.beside).map((part) => [part.mark, part]));
