// The scene: arrays out of the page's data, and from them what the screen's hardware draws.
const DATA = JSON.parse(document.getElementById("data").textContent);

function bytes(text) {
  const raw = atob(text), out = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i++) out[i] = raw.charCodeAt(i);
  return out.buffer;
}

// Corners of one triangle share a normal with their neighbours' unless the skin turns sharply there.
const SHARP = Math.cos(33 * Math.PI / 180);

function shaded(points, triangles) {
  const count = triangles.length / 3;
  const flat = new Float32Array(triangles.length), at = Array.from({ length: points.length / 3 }, () => []);
  for (let t = 0; t < count; t++) {
    const [a, b, c] = [0, 1, 2].map((k) => 3 * triangles[3 * t + k]);
    const ux = points[b] - points[a], uy = points[b + 1] - points[a + 1], uz = points[b + 2] - points[a + 2];
    const vx = points[c] - points[a], vy = points[c + 1] - points[a + 1], vz = points[c + 2] - points[a + 2];
    flat[3 * t] = uy * vz - uz * vy;
    flat[3 * t + 1] = uz * vx - ux * vz;
    flat[3 * t + 2] = ux * vy - uy * vx;
    for (let k = 0; k < 3; k++) at[triangles[3 * t + k]].push(t);
  }
  const size = new Float32Array(count);
  for (let t = 0; t < count; t++) size[t] = Math.hypot(flat[3 * t], flat[3 * t + 1], flat[3 * t + 2]) || 1;
  const corners = new Float32Array(18 * count);
  for (let t = 0; t < count; t++) {
    for (let k = 0; k < 3; k++) {
      const v = triangles[3 * t + k];
      let x = 0, y = 0, z = 0;
      for (const other of at[v]) {
        const dot = (flat[3 * t] * flat[3 * other] + flat[3 * t + 1] * flat[3 * other + 1] + flat[3 * t + 2] * flat[3 * other + 2]) / size[t] / size[other];
        if (dot < SHARP) continue;
        x += flat[3 * other]; y += flat[3 * other + 1]; z += flat[3 * other + 2];
      }
      const long = Math.hypot(x, y, z) || 1, to = 18 * t + 6 * k;
      corners.set([points[3 * v], points[3 * v + 1], points[3 * v + 2], x / long, y / long, z / long], to);
    }
  }
  return corners;
}

const PARTS = DATA.parts.map((part, index) => {
  const points = new Float32Array(bytes(part.v));
  const places = part.wide ? Uint32Array : Uint16Array;
  const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < points.length; i++) {
    low[i % 3] = Math.min(low[i % 3], points[i]);
    high[i % 3] = Math.max(high[i % 3], points[i]);
  }
  const lines = new places(bytes(part.e)), ends = new Float32Array(3 * lines.length);
  lines.forEach((v, i) => ends.set([points[3 * v], points[3 * v + 1], points[3 * v + 2]], 3 * i));
  return { mark: part.mark, kind: part.kind, placed: part.placed, given: part.given, beside: part.beside, index, points, low, high, ends, skin: () => shaded(points, new places(bytes(part.t))) };
});
// Wheels, dampers and envelopes are seen, but have no sheet.
const BY_MARK = new Map(PARTS.filter((part) => !part.beside).map((part) => [part.mark, part]));
