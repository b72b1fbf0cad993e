// Lengths between two places that were tapped: corners of edges where one is near, else places on a skin.
const CATCH = 10; // CSS pixels from a corner at which it is meant

function apart(a, b) { return Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]); }

// In the job's units: inches to the nearest sixteenth, with millimetres beside.
function lengthText(mm) {
  const plain = `${Math.round(mm * 10) / 10} mm`;
  if (DATA.units !== "in") return plain;
  const sixteenths = Math.round(mm / 25.4 * 16);
  let top = sixteenths % 16, bottom = 16;
  while (top && top % 2 === 0) [top, bottom] = [top / 2, bottom / 2];
  return `${[Math.floor(sixteenths / 16) || (top ? "" : "0"), top ? `${top}/${bottom}` : ""].filter(Boolean).join(" ")} in (${plain})`;
}

// 'Apart 812.4 mm: 800 mm ahead, 20 mm left, 130 mm up.'
function measuredText([a, b]) {
  const ways = [["ahead", "back"], ["left", "right"], ["up", "down"]];
  const legs = ways.map((names, k) => [b[k] - a[k], names]).filter(([s]) => Math.abs(s) >= 0.05);
  return `Apart ${lengthText(apart(a, b))}${legs.length > 1 ? ": " + legs.map(([s, names]) => `${lengthText(Math.abs(s))} ${names[s > 0 ? 0 : 1]}`).join(", ") : ""}.`;
}

// The place in the job under a place of the canvas: a corner near it of the part seen there, else on its skin; null for none.
function placeAt(view, x, y) {
  const part = view.part(x, y);
  if (!part) return null;
  const m = view.matrix, { right, up, toward } = view.camera.axes, { lines, triangles } = part;
  const depth = (p) => toward[0] * p[0] + toward[1] * p[1] + toward[2] * p[2], corner = (v) => view.corner(part, v);
  let found = null, least = CATCH;
  for (const v of new Set(lines)) {
    const at = corner(v);
    if (!view.keeps(at)) continue;
    const [px, py] = view.place(at, m), away = Math.hypot(px - x, py - y);
    // Of two corners as near, the one that faces the looker.
    if (away < least - 0.5 || (found && away < least + 0.5 && depth(at) > depth(found))) [found, least] = [at, Math.min(least, away)];
  }
  if (found) return found;
  // Straight in from the tap: the skin met first.
  const share = view.camera.span / Math.min(view.width, view.height), rx = (x - view.width / 2) * share, ry = (view.height / 2 - y) * share;
  const from = view.camera.at.map((s, k) => s + right[k] * rx + up[k] * ry);
  const flat = (p) => [0, 1].map((i) => [right, up][i].reduce((sum, s, k) => sum + s * (p[k] - from[k]), 0));
  for (let i = 0; i < triangles.length; i += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => corner(triangles[i + k])), [p, q, r] = [a, b, c].map(flat);
    const area = (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
    if (Math.abs(area) < 1e-9) continue;
    const u = (q[0] * r[1] - q[1] * r[0]) / area, v = (r[0] * p[1] - r[1] * p[0]) / area, w = 1 - u - v;
    if (u < 0 || v < 0 || w < 0) continue;
    const at = a.map((s, k) => u * s + v * b[k] + w * c[k]);
    if (view.keeps(at) && (!found || depth(at) > depth(found))) found = at;
  }
  return found;
}
