// The view: draws the scene, finds what was tapped, and turns fingers, mouse and keys into views.
const COLOURS = { tube: [0.74, 0.79, 0.85], link: [0.87, 0.74, 0.47], plate: [0.63, 0.8, 0.66], bracket: [0.58, 0.76, 0.88], cover: [0.86, 0.81, 0.73] };
const OTHER = [0.83, 0.72, 0.68];
const GIVEN = [0.93, 0.93, 0.92];
const CHOSEN = [1, 0.82, 0.12];
const NEARER = 0.9; // CSS pixels
const FINGER = 14; // CSS pixels round a tap in which a part still counts

const SKIN = ["attribute vec4 p; attribute vec3 n; uniform mat4 m; uniform vec3 r, u, f; varying float l; void main() { gl_Position = m * vec4(p.xyz, 1.); vec3 way = vec3(dot(n, r), dot(n, u), dot(n, f)); l = .56 + .44 * max(0., dot(way, normalize(vec3(-.35, .6, .72)))); }",
  "precision mediump float; uniform vec3 c; uniform float faint; varying float l; void main() { gl_FragColor = vec4(mix(c * l, vec3(1.), faint), 1.); }"];
const PLAIN = ["attribute vec4 p; uniform mat4 m; void main() { gl_Position = m * vec4(p.xyz, 1.); }",
  "precision mediump float; uniform vec3 c; void main() { gl_FragColor = vec4(c, 1.); }"];
// Each part in a colour that is its number.
const NUMBERS = ["attribute vec4 p; uniform mat4 m; varying vec3 c; void main() { gl_Position = m * vec4(p.xyz, 1.); c = vec3(floor(p.w / 256.), mod(p.w, 256.), 255.) / 255.; }",
  "precision mediump float; varying vec3 c; void main() { gl_FragColor = vec4(c, 1.); }"];

// The middle of a triangle's side that is nearest to the middle of the part's box: there its mark stands on it.
function spot({ points, triangles, low, high }) {
  const middle = low.map((s, k) => (s + high[k]) / 2);
  let found = middle, least = Infinity;
  for (let i = 0; i < triangles.length; i++) {
    const a = 3 * triangles[i], b = 3 * triangles[i % 3 < 2 ? i + 1 : i - 2];
    const x = (points[a] + points[b]) / 2, y = (points[a + 1] + points[b + 1]) / 2, z = (points[a + 2] + points[b + 2]) / 2;
    const away = (x - middle[0]) ** 2 + (y - middle[1]) ** 2 + (z - middle[2]) ** 2;
    if (away < least) [found, least] = [[x, y, z], away];
  }
  return found;
}

class View {
  constructor(canvas, tags) {
    this.canvas = canvas;
    this.tags = tags.getContext("2d");
    this.camera = new Camera();
    this.chosen = null;
    this.alone = false;
    this.names = true;
    this.onPick = () => {};
    this.gl = canvas.getContext("webgl", { antialias: true });
    if (!this.gl) return;
    canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
    canvas.addEventListener("webglcontextrestored", () => { this.load(); this.schedule(); });
    this.load();
    this.listen();
    new ResizeObserver(() => this.resize()).observe(canvas);
    this.resize();
    this.look("corner");
    this.fit();
  }

  load() {
    const gl = this.gl;
    this.skin = this.program(SKIN, ["m", "r", "u", "f", "c", "faint"]);
    this.plain = this.program(PLAIN, ["m", "c"]);
    this.numbers = this.program(NUMBERS, ["m"]);
    const total = (list) => PARTS.reduce((sum, part) => sum + part[list].length, 0);
    const skin = new Corners(total("triangles")), edges = new Corners(total("lines"));
    for (const part of PARTS) {
      part.spot ??= spot(part);
      part.skin = [skin.count, part.triangles.length];
      shaded(part, skin);
      part.edges = [edges.count, part.lines.length];
      for (const v of part.lines) edges.corner(part.points[3 * v], part.points[3 * v + 1], part.points[3 * v + 2], part.index, 0, 0, 0);
    }
    this.skins = this.buffer(skin.data);
    this.edges = this.buffer(edges.data);
    gl.enable(gl.DEPTH_TEST);
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

  get shown() { return this.alone && this.chosen ? [this.chosen] : PARTS; }

  resize() {
    const box = this.canvas.getBoundingClientRect(), ratio = Math.min(window.devicePixelRatio || 1, 2.5);
    this.width = Math.max(1, Math.round(box.width));
    this.height = Math.max(1, Math.round(box.height));
    this.ratio = ratio;
    for (const canvas of [this.canvas, this.tags.canvas]) {
      canvas.width = Math.round(this.width * ratio);
      canvas.height = Math.round(this.height * ratio);
    }
    // A view of all parts stays one when the page is laid out again or the phone is turned.
    if (this.camera.fitted) this.fit();
    else this.schedule();
  }

  schedule() {
    if (this.pending) return;
    this.pending = requestAnimationFrame(() => { this.pending = 0; this.draw(); });
  }

  look(name) { this.camera.look(name, this.height > this.width); }

  fit() { this.camera.fit(this.shown, this.width, this.height); this.schedule(); }

  start(program, matrix) {
    this.gl.useProgram(program.made);
    this.gl.uniformMatrix4fv(program.at.m, false, matrix);
  }

  points(buffer, normals) {
    const gl = this.gl;
    gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
    gl.enableVertexAttribArray(0);
    gl.vertexAttribPointer(0, 4, gl.FLOAT, false, STRIDE, 0);
    if (normals) { gl.enableVertexAttribArray(1); gl.vertexAttribPointer(1, 3, gl.BYTE, true, STRIDE, 16); } else gl.disableVertexAttribArray(1);
  }

  // Parts that stand one after the other in the list and look alike are drawn at one go.
  runs(shape, list, same, look) {
    let run = null;
    for (const part of [...this.shown, null]) {
      if (run && part && same(run.part) === same(part) && run.from + run.count === part[list][0]) { run.count += part[list][1]; continue; }
      if (run) { look(run.part); this.gl.drawArrays(shape, run.from, run.count); }
      run = part && { part, from: part[list][0], count: part[list][1] };
    }
  }

  get matrix() { return this.camera.matrix(this.width, this.height, this.camera.depths(this.shown)); }

  draw() {
    const gl = this.gl, matrix = this.matrix, { right, up, toward } = this.camera.axes;
    gl.viewport(0, 0, this.canvas.width, this.canvas.height);
    gl.clearColor(1, 1, 1, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    this.start(this.skin, matrix);
    gl.uniform3fv(this.skin.at.r, right); gl.uniform3fv(this.skin.at.u, up); gl.uniform3fv(this.skin.at.f, toward);
    const faint = (part) => this.chosen && part !== this.chosen, colour = (part) => part === this.chosen ? CHOSEN : part.given ? GIVEN : COLOURS[part.kind] || OTHER;
    this.points(this.skins, true);
    this.runs(gl.TRIANGLES, "skin", colour, (part) => {
      gl.uniform3fv(this.skin.at.c, colour(part));
      gl.uniform1f(this.skin.at.faint, faint(part) ? 0.45 : 0);
    });
    // Edges stand before their own skin by what a pixel measures, which is less than a wall where one sees a wall.
    const near = matrix.slice(), [back, front] = this.camera.depths(this.shown);
    near[14] -= 2 * NEARER * this.camera.span / Math.min(this.width, this.height) / (front - back);
    this.start(this.plain, near);
    const dim = (part) => Boolean(part.beside || faint(part));
    this.points(this.edges, false);
    this.runs(gl.LINES, "edges", dim, (part) => gl.uniform3fv(this.plain.at.c, dim(part) ? [0.5, 0.5, 0.5] : [0.05, 0.05, 0.05]));
    this.write(matrix);
  }

  // Marks where they do not cover one another; the chosen part's first.
  write(m) {
    const pen = this.tags, taken = [];
    pen.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    pen.clearRect(0, 0, this.width, this.height);
    if (!this.names) return;
    pen.font = "700 13px system-ui, sans-serif";
    pen.textAlign = "center";
    pen.textBaseline = "middle";
    const order = this.shown.slice().sort((a, b) => (b === this.chosen) - (a === this.chosen));
    for (const part of order) {
      const seen = this.reach(part, m), half = part.half ??= pen.measureText(part.mark).width / 2 + 5;
      // A small part is not covered by its own mark.
      const small = seen[2] - seen[0] < 4 * half && seen[3] - seen[1] < 60;
      const spots = small ? [[(seen[0] + seen[2]) / 2, seen[3] + 12]] : this.spots(part).map((spot) => this.place(spot, m));
      const free = ([x, y]) => x > half && y > 10 && x + half < this.width && y + 10 < this.height
        && !taken.some((t) => t[0] < x + half && x - half < t[2] && t[1] < y + 10 && y - 10 < t[3]);
      const spot = spots.find(free);
      if (!spot) continue;
      const [x, y] = spot, box = [x - half, y - 10, x + half, y + 10];
      taken.push(box);
      pen.fillStyle = part === this.chosen ? "#ffd21f" : "#fff";
      pen.fillRect(box[0], box[1], 2 * half, 20);
      pen.strokeRect(box[0], box[1], 2 * half, 20);
      pen.fillStyle = "#101010";
      pen.fillText(part.mark, x, y + 1);
    }
  }

  // Where a part's mark may stand in the job: its middle, else where it has edges.
  spots(part) {
    const count = part.lines.length, at = (i) => [0, 1, 2].map((k) => part.points[3 * part.lines[i] + k]);
    part.spots ??= [part.spot, ...(count ? [0, 0.2, 0.4, 0.6, 0.8].map((share) => at(Math.floor(share * count))) : [])];
    return part.spots;
  }

  // Where a point of the job is seen, CSS pixels from the upper left corner.
  place(c, m) {
    return [(m[0] * c[0] + m[4] * c[1] + m[8] * c[2] + m[12] + 1) / 2 * this.width, (1 - (m[1] * c[0] + m[5] * c[1] + m[9] * c[2] + m[13])) / 2 * this.height];
  }

  // The box of the screen that holds the box of a part, CSS pixels.
  reach(part, m) {
    const box = [Infinity, Infinity, -Infinity, -Infinity];
    for (let i = 0; i < 8; i++) {
      const c = [0, 1, 2].map((k) => (i >> k & 1 ? part.high[k] : part.low[k]));
      const [x, y] = this.place(c, m);
      box[0] = Math.min(box[0], x); box[1] = Math.min(box[1], y);
      box[2] = Math.max(box[2], x); box[3] = Math.max(box[3], y);
    }
    return box;
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
    this.runs(gl.TRIANGLES, "skin", () => true, () => {});
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

  listen() {
    const canvas = this.canvas, down = new Map();
    let moved = 0;
    const place = (event) => { const box = canvas.getBoundingClientRect(); return [event.clientX - box.left, event.clientY - box.top]; };
    const share = (pixels) => pixels / Math.min(this.width, this.height);
    canvas.addEventListener("contextmenu", (event) => event.preventDefault());
    canvas.addEventListener("pointerdown", (event) => {
      canvas.setPointerCapture(event.pointerId);
      if (!down.size) moved = 0;
      down.set(event.pointerId, place(event));
    });
    canvas.addEventListener("pointermove", (event) => {
      const before = down.get(event.pointerId);
      if (!before) return;
      const now = place(event), dx = now[0] - before[0], dy = now[1] - before[1];
      moved += Math.hypot(dx, dy);
      if (down.size === 1) {
        if (event.shiftKey || event.buttons > 1) this.camera.shift(share(dx), -share(dy));
        else if (moved > 5) this.camera.swing(dx * 0.009, dy * 0.009);
      } else {
        const other = [...down].find(([id]) => id !== event.pointerId)[1];
        const wide = Math.hypot(now[0] - other[0], now[1] - other[1]), was = Math.hypot(before[0] - other[0], before[1] - other[1]);
        const x = (now[0] + other[0]) / 2 - this.width / 2, y = this.height / 2 - (now[1] + other[1]) / 2;
        this.camera.shift(share(dx) / 2, -share(dy) / 2);
        if (was > 0) this.camera.zoom(wide / was, share(x), share(y));
      }
      down.set(event.pointerId, now);
      this.schedule();
    });
    const up = (event) => {
      const tapped = down.size === 1 && moved <= 6 && event.type === "pointerup";
      down.delete(event.pointerId);
      if (tapped) this.onPick(this.part(...place(event)));
    };
    canvas.addEventListener("pointerup", up);
    canvas.addEventListener("pointercancel", up);
    canvas.addEventListener("wheel", (event) => {
      event.preventDefault();
      const [x, y] = place(event);
      this.camera.zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0015)), share(x - this.width / 2), share(this.height / 2 - y));
      this.schedule();
    }, { passive: false });
  }
}
