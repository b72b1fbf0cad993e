// The view: draws the scene and finds what lies under a place of it.
const COLOURS = { tube: [0.74, 0.79, 0.85], link: [0.87, 0.74, 0.47], plate: [0.63, 0.8, 0.66], bracket: [0.58, 0.76, 0.88], cover: [0.86, 0.81, 0.73] };
const OTHER = [0.83, 0.72, 0.68];
const GIVEN = [0.93, 0.93, 0.92];
const CHOSEN = [1, 0.82, 0.12];
// What is behind all parts, their lines, the lines of those that are not chosen and of those that a check stops: each
// stands out from the ground by 3 to 1 at least.
const DAY = { ground: [1, 1, 1], line: [0.05, 0.05, 0.05], other: [0.42, 0.42, 0.42], stop: [0.66, 0, 0.09] };
const NIGHT = { ground: [0.086, 0.094, 0.106], line: [0.96, 0.96, 0.96], other: [0.62, 0.62, 0.62], stop: [1, 0.45, 0.45] };
const NEARER = 0.9; // CSS pixels
const OUTLINE = 1.3; // CSS pixels that a part's outline reaches beyond its skin
const FINGER = 14; // CSS pixels round a tap in which a part still counts
const AWAY = 0.3; // of what shows all, that one sees round a part that was chosen …
const ROUND_IT = 6; // … but no more than so many times the part
const GLIDE = 220; // ms from stand to stand

const AT = "attribute vec4 p; uniform mat4 m, pose; uniform vec4 cut; varying float off; void place() { vec4 at = pose * vec4(p.xyz, 1.); gl_Position = m * at; off = dot(at.xyz, cut.xyz) - cut.w; } ";
// What lies beyond the cut is not drawn.
const KEPT = "precision mediump float; varying float off; ";
const SKIN = [AT + "attribute vec3 n; uniform vec3 r, u, f; varying float l; void main() { place(); vec3 to = (pose * vec4(n, 0.)).xyz, way = vec3(dot(to, r), dot(to, u), dot(to, f)); l = .56 + .44 * max(0., dot(way, normalize(vec3(-.35, .6, .72)))); }",
  KEPT + "uniform vec3 c, ground; uniform float faint, whole; varying float l; void main() { if (off > 0.) discard; gl_FragColor = vec4(mix(c * l, ground, faint), whole); }"];
// A skin a little larger, seen from inside, shows round the part as its outline.
const ROUND = [AT + "attribute vec3 n; uniform vec3 r, u; uniform vec2 out_; void main() { place(); vec3 to = (pose * vec4(n, 0.)).xyz; vec2 way = vec2(dot(to, r), dot(to, u)); gl_Position.xy += way / max(length(way), .05) * out_; }",
  KEPT + "uniform vec3 c; void main() { if (off > 0.) discard; gl_FragColor = vec4(c, 1.); }"];
const PLAIN = [AT + "void main() { place(); }", ROUND[1]];
// Each part in a colour that is its number.
const NUMBERS = [AT + "varying vec3 c; void main() { place(); c = vec3(floor(p.w / 256.), mod(p.w, 256.), 255.) / 255.; }",
  KEPT + "varying vec3 c; void main() { if (off > 0.) discard; gl_FragColor = vec4(c, 1.); }"];

// The middle of a triangle's side that is nearest to the middle of the part's box: there its mark stands on it; and the
// corner at which that side begins.
function spot({ points, triangles, low, high }) {
  const middle = low.map((s, k) => (s + high[k]) / 2);
  let found = middle, least = Infinity, corner = 0;
  for (let i = 0; i < triangles.length; i++) {
    const a = 3 * triangles[i], b = 3 * triangles[i % 3 < 2 ? i + 1 : i - 2];
    const x = (points[a] + points[b]) / 2, y = (points[a + 1] + points[b + 1]) / 2, z = (points[a + 2] + points[b + 2]) / 2;
    const away = (x - middle[0]) ** 2 + (y - middle[1]) ** 2 + (z - middle[2]) ** 2;
    if (away < least) [found, least, corner] = [[x, y, z], away, triangles[i]];
  }
  return [found, corner];
}

class View {
  constructor(canvas, tags) {
    this.canvas = canvas;
    this.labels = new Labels(tags);
    this.camera = new Camera();
    this.chosen = null;
    this.alone = false;
    this.hidden = new Set();
    this.glass = new Set(); // parts that are seen through
    this.measured = []; // places in the job, up to two
    this.travel = null; // what moves, and in which place it is
    this.poses = null; // of each mover
    this.cut = null; // a plane: its normal, toward what is taken away, and how far along that it stands
    this.dark = window.matchMedia("(prefers-color-scheme: dark)");
    this.still = window.matchMedia("(prefers-reduced-motion: reduce)");
    this.onDrawn = () => {};
    this.gl = canvas.getContext("webgl", { antialias: true, stencil: true });
    if (!this.gl) return;
    canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
    canvas.addEventListener("webglcontextrestored", () => { this.load(); this.schedule(); });
    this.dark.addEventListener("change", () => this.schedule());
    this.load();
    new ResizeObserver(() => this.resize()).observe(canvas);
    this.resize();
    this.look("corner");
    this.fit();
  }

  load() {
    const gl = this.gl;
    this.skin = this.program(SKIN, ["m", "pose", "cut", "r", "u", "f", "c", "ground", "faint", "whole"]);
    this.round = this.program(ROUND, ["m", "pose", "cut", "r", "u", "c", "out_"]);
    this.plain = this.program(PLAIN, ["m", "pose", "cut", "c"]);
    this.numbers = this.program(NUMBERS, ["m", "pose", "cut"]);
    this.fill();
    gl.enable(gl.DEPTH_TEST);
    gl.blendFunc(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA);
  }

  // The corners of all parts, in the place of those before.
  fill() {
    const gl = this.gl;
    for (const old of [this.skins, this.edges]) if (old) gl.deleteBuffer(old);
    const total = (list) => PARTS.reduce((sum, part) => sum + part[list].length, 0);
    const skin = new Corners(total("triangles")), edges = new Corners(total("lines"));
    for (const part of PARTS) {
      if (!part.spot) [part.spot, part.spotAt] = spot(part);
      part.skin = [skin.count, part.triangles.length];
      shaded(part, skin);
      part.edges = [edges.count, part.lines.length];
      for (const v of part.lines) edges.corner(part.points[3 * v], part.points[3 * v + 1], part.points[3 * v + 2], part.index, 0, 0, 0);
    }
    this.skins = this.buffer(skin.data);
    this.edges = this.buffer(edges.data);
  }

  buffer(values) {
    const gl = this.gl, made = gl.createBuffer();
    gl.bindBuffer(gl.ARRAY_BUFFER, made);
    gl.bufferData(gl.ARRAY_BUFFER, values, gl.STATIC_DRAW);
    return made;
  }

  program(sources, names) {
    const gl = this.gl, made = gl.createProgram();
    sources.forEach((source, i) => {
      const shader = gl.createShader(i ? gl.FRAGMENT_SHADER : gl.VERTEX_SHADER);
      gl.shaderSource(shader, source);
      gl.compileShader(shader);
      gl.attachShader(made, shader);
    });
    gl.bindAttribLocation(made, 0, "p");
    gl.bindAttribLocation(made, 1, "n");
    gl.linkProgram(made);
    return { made, at: Object.fromEntries(names.map((name) => [name, gl.getUniformLocation(made, name)])) };
  }

  get shown() { return this.alone && this.chosen ? [this.chosen] : this.hidden.size ? PARTS.filter((part) => !this.hidden.has(part)) : PARTS; }

  // What the job gives a place; loose parts beside it do not make it smaller.
  get placed() {
    const placed = this.shown.filter((part) => part.placed || part.beside);
    return placed.length ? placed : this.shown;
  }

  get colours() { return this.dark.matches && !this.printing ? NIGHT : DAY; }

  resize() {
    const box = this.canvas.getBoundingClientRect(), ratio = Math.min(window.devicePixelRatio || 1, 2.5);
    this.width = Math.max(1, Math.round(box.width));
    this.height = Math.max(1, Math.round(box.height));
    this.ratio = ratio;
    for (const canvas of [this.canvas, this.labels.canvas]) {
      canvas.width = Math.round(this.width * ratio);
      canvas.height = Math.round(this.height * ratio);
    }
    // A view of all parts stays one when the page is laid out again or the phone is turned.
    if (this.camera.fitted) this.fit();
    // At once: a canvas of another size is empty, and would be shown so.
    this.draw();
  }

  schedule() {
    if (this.pending) return;
    this.pending = requestAnimationFrame(() => { this.pending = 0; this.draw(); });
  }

  look(name) { this.stop(); this.camera.look(name, this.height > this.width); }

  fit(parts = this.placed) {
    if (!parts.length) return;
    this.stop();
    this.camera.stand = { ...this.camera.fitting(parts, this.width, this.height), fitted: parts.length > 1 };
    this.schedule();
  }

  // Goes to a part: close up, or so that one still sees where in the job it is.
  frame(part, close = false) {
    const own = this.camera.fitting([part], this.width, this.height), all = this.camera.fitting(this.placed, this.width, this.height).span;
    this.framed = { ...own, span: close ? own.span : Math.max(own.span, Math.min(all, Math.max(1.2 * own.span, Math.min(ROUND_IT * own.span, AWAY * all)))), fitted: false };
    this.glide(this.framed);
  }

  // Nearer by a factor, to a place of the canvas; without one to what the pointer is on, else to the chosen part.
  nearer(factor, at = this.pointer) {
    this.stop();
    if (!at && this.chosen && this.shown.includes(this.chosen)) at = this.place(this.spot(this.chosen), this.matrix);
    const [x, y] = at || [this.width / 2, this.height / 2], shorter = Math.min(this.width, this.height);
    this.camera.zoom(factor, (x - this.width / 2) / shorter, (this.height / 2 - y) / shorter);
    this.schedule();
  }

  glide(stand) {
    this.stop();
    if (this.still.matches) { this.camera.stand = stand; this.schedule(); return; }
    const from = this.camera.stand, begun = performance.now();
    const go = (now) => {
      const t = Math.max(0, Math.min(1, (now - begun) / GLIDE)), s = t * t * (3 - 2 * t);
      this.camera.stand = t === 1 ? stand : { ...stand, at: stand.at.map((to, k) => from.at[k] + s * (to - from.at[k])), span: from.span * (stand.span / from.span) ** s };
      this.gliding = t < 1 ? requestAnimationFrame(go) : 0;
      this.draw();
    };
    this.gliding = requestAnimationFrame(go);
  }

  stop() { if (this.gliding) cancelAnimationFrame(this.gliding); this.gliding = 0; }

  start(program, matrix) {
    this.used = program;
    this.gl.useProgram(program.made);
    this.gl.uniformMatrix4fv(program.at.m, false, matrix);
    this.gl.uniform4fv(program.at.cut, this.cut || [0, 0, 0, 0]);
  }

  points(buffer, normals) {
    const gl = this.gl;
    gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
    gl.enableVertexAttribArray(0);
    gl.vertexAttribPointer(0, 4, gl.FLOAT, false, STRIDE, 0);
    if (normals) { gl.enableVertexAttribArray(1); gl.vertexAttribPointer(1, 3, gl.BYTE, true, STRIDE, 16); } else gl.disableVertexAttribArray(1);
  }

  // Parts that stand one after the other in the list, look alike and move together are drawn at one go.
  runs(parts, shape, list, same, look) {
    let run = null;
    const drawn = () => {
      if (!run) return;
      look(run.part);
      this.gl.uniformMatrix4fv(this.used.at.pose, false, run.pose);
      this.gl.drawArrays(shape, run.from, run.count);
    };
    for (const part of parts) {
      const shares = this.poses && part.rides ? part.rides : [-1], count = part[list][1] / shares.length;
      shares.forEach((mover, k) => {
        const from = part[list][0] + k * count, pose = mover < 0 ? STILL : this.poses[mover];
        if (run && same(run.part) === same(part) && run.pose === pose && run.from + run.count === from) { run.count += count; return; }
        drawn();
        run = { part, from, count, pose };
      });
    }
    drawn();
  }

  // Where a place of a part is now; `corner`: of the corners of its share.
  now(part, at, corner) {
    if (!this.poses || !part.rides) return at;
    const mover = part.rides[shareOf(part, corner, part.points.length / 3)];
    return mover < 0 ? at : moved(at, this.poses[mover]);
  }

  corner(part, v) { return this.now(part, [part.points[3 * v], part.points[3 * v + 1], part.points[3 * v + 2]], v); }

  // Where a part's mark stands.
  spot(part) { return this.now(part, part.spot, part.spotAt); }

  // To a place of a travel; with none as drawn.
  go(travel, place) {
    this.travel = travel && { of: travel, place };
    this.poses = travel && travel.poses(place);
    for (const part of PARTS) if (part.rides) this.reach(part);
    this.schedule();
  }

  // The box that holds a part where it is now.
  reach(part) {
    [part.least, part.most] = [[Infinity, Infinity, Infinity], [-Infinity, -Infinity, -Infinity]];
    for (const mover of this.poses ? part.rides : [-1]) for (let i = 0; i < 8; i++) {
      const corner = [0, 1, 2].map((k) => i >> k & 1 ? part.high[k] : part.low[k]);
      (mover < 0 ? corner : moved(corner, this.poses[mover])).forEach((s, k) => {
        part.least[k] = Math.min(part.least[k], s);
        part.most[k] = Math.max(part.most[k], s);
      });
    }
  }

  // Whether a place of the job is on the side of the cut that is shown.
  keeps(at) { return !this.cut || at.reduce((sum, s, k) => sum + s * this.cut[k], -this.cut[3]) <= 1e-3; }

  // The cut at a share of the way through what is placed, along an axis of the job.
  cutAt(axis, share) {
    const low = Math.min(...this.placed.map((part) => part.low[axis])), high = Math.max(...this.placed.map((part) => part.high[axis]));
    this.cut = [0, 1, 2].map((k) => Number(k === axis)).concat(low + share * (high - low));
    this.schedule();
  }

  get matrix() { return this.camera.matrix(this.width, this.height, this.camera.depths(this.shown)); }

  draw() {
    const gl = this.gl, matrix = this.matrix, axes = this.camera.axes, colours = this.colours, { ground, line, other } = colours, shown = this.shown;
    const dim = (part) => Boolean(part.beside || (this.chosen && part !== this.chosen));
    // What a check stops is lit, chosen or not.
    const ink = (part) => part.level === "stop" ? colours.stop : dim(part) ? other : line;
    const solid = shown.filter((part) => !this.glass.has(part)), glass = shown.filter((part) => this.glass.has(part));
    gl.viewport(0, 0, this.canvas.width, this.canvas.height);
    gl.clearColor(...ground, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT | gl.STENCIL_BUFFER_BIT);
    const skins = (parts, whole) => {
      this.start(this.skin, matrix);
      gl.uniform3fv(this.skin.at.r, axes.right); gl.uniform3fv(this.skin.at.u, axes.up); gl.uniform3fv(this.skin.at.f, axes.toward);
      gl.uniform3fv(this.skin.at.ground, ground);
      gl.uniform1f(this.skin.at.whole, whole);
      this.points(this.skins, true);
      const colour = (part) => part === this.chosen ? CHOSEN : part.given ? GIVEN : COLOURS[part.kind] || OTHER;
      this.runs(parts, gl.TRIANGLES, "skin", colour, (part) => {
        gl.uniform3fv(this.skin.at.c, colour(part));
        gl.uniform1f(this.skin.at.faint, dim(part) ? 0.45 : 0);
      });
    };
    const outlines = (parts) => {
      this.start(this.round, matrix);
      gl.uniform3fv(this.round.at.r, axes.right); gl.uniform3fv(this.round.at.u, axes.up);
      gl.uniform2f(this.round.at.out_, 2 * OUTLINE / this.width, 2 * OUTLINE / this.height);
      this.points(this.skins, true);
      gl.enable(gl.CULL_FACE);
      gl.cullFace(gl.FRONT);
      this.runs(parts, gl.TRIANGLES, "skin", ink, (part) => gl.uniform3fv(this.round.at.c, ink(part)));
      gl.disable(gl.CULL_FACE);
    };
    skins(solid, 1);
    outlines(solid);
    if (glass.length) {
      // What is seen through hides nothing: its outline is what reaches beyond its own skin.
      gl.enable(gl.STENCIL_TEST); gl.enable(gl.BLEND); gl.depthMask(false);
      gl.stencilFunc(gl.ALWAYS, 1, 1); gl.stencilOp(gl.KEEP, gl.KEEP, gl.REPLACE);
      skins(glass, 0.16);
      gl.stencilFunc(gl.NOTEQUAL, 1, 1); gl.stencilOp(gl.KEEP, gl.KEEP, gl.KEEP);
      outlines(glass);
      gl.disable(gl.STENCIL_TEST); gl.disable(gl.BLEND); gl.depthMask(true);
    }
    // Edges stand before their own skin by what a pixel measures, which is less than a wall where one sees a wall.
    const near = matrix.slice(), [back, front] = this.camera.depths(shown);
    near[14] -= 2 * NEARER * this.camera.span / Math.min(this.width, this.height) / (front - back);
    this.start(this.plain, near);
    this.points(this.edges, false);
    this.runs(shown, gl.LINES, "edges", ink, (part) => gl.uniform3fv(this.plain.at.c, ink(part)));
    this.labels.draw(this, matrix);
    this.onDrawn();
  }

  // Where a point of the job is seen, CSS pixels from the upper left corner.
  place(c, m) {
    return [(m[0] * c[0] + m[4] * c[1] + m[8] * c[2] + m[12] + 1) / 2 * this.width, (1 - (m[1] * c[0] + m[5] * c[1] + m[9] * c[2] + m[13])) / 2 * this.height];
  }

  // The part seen at or nearest to a place of the canvas, CSS pixels from its upper left corner; null for none.
  part(x, y) {
    const gl = this.gl, w = this.canvas.width, h = this.canvas.height;
    gl.viewport(0, 0, w, h);
    gl.disable(gl.DITHER);
    gl.clearColor(0, 0, 0, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    this.start(this.numbers, this.matrix);
    this.points(this.skins, false);
    this.runs(this.shown.filter((part) => !this.glass.has(part)), gl.TRIANGLES, "skin", () => true, () => {});
    const reach = Math.round(FINGER * this.ratio), side = 2 * reach + 1, seen = new Uint8Array(4 * side * side);
    gl.readPixels(Math.round(x * this.ratio) - reach, h - 1 - Math.round(y * this.ratio) - reach, side, side, gl.RGBA, gl.UNSIGNED_BYTE, seen);
    let found = null, least = Infinity;
    for (let i = 0; i < side * side; i++) {
      const part = seen[4 * i + 2] === 255 && PARTS[seen[4 * i] * 256 + seen[4 * i + 1] - 1];
      const away = (i % side - reach) ** 2 + (Math.floor(i / side) - reach) ** 2;
      if (part && away < least) [found, least] = [part, away];
    }
    this.draw();
    return found;
  }

  // The view as a picture, marks and all, in the colours of paper.
  picture() {
    this.printing = true;
    this.draw();
    const both = document.createElement("canvas");
    [both.width, both.height] = [this.canvas.width, this.canvas.height];
    const pen = both.getContext("2d");
    pen.drawImage(this.canvas, 0, 0);
    pen.drawImage(this.labels.canvas, 0, 0);
    this.printing = false;
    this.draw();
    return both.toDataURL();
  }
}
