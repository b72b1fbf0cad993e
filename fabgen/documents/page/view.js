// The view: draws the scene, finds what was tapped, and turns fingers, mouse and keys into views.
const COLOURS = { tube: [0.74, 0.79, 0.85], link: [0.87, 0.74, 0.47], plate: [0.63, 0.8, 0.66], bracket: [0.58, 0.76, 0.88], cover: [0.86, 0.81, 0.73] };
const OTHER = [0.83, 0.72, 0.68];
const GIVEN = [0.93, 0.93, 0.92];
const CHOSEN = [1, 0.82, 0.12];
const NEARER = 0.9; // CSS pixels
const FINGER = 14; // CSS pixels round a tap in which a part still counts

const SKIN = ["attribute vec3 p, n; uniform mat4 m; uniform vec3 r, u, f; varying float l; void main() { gl_Position = m * vec4(p, 1.); vec3 way = vec3(dot(n, r), dot(n, u), dot(n, f)); l = .56 + .44 * max(0., dot(way, normalize(vec3(-.35, .6, .72)))); }",
  "precision mediump float; uniform vec3 c; uniform float faint; varying float l; void main() { gl_FragColor = vec4(mix(c * l, vec3(1.), faint), 1.); }"];
const PLAIN = ["attribute vec3 p; uniform mat4 m; void main() { gl_Position = m * vec4(p, 1.); }",
  "precision mediump float; uniform vec3 c; void main() { gl_FragColor = vec4(c, 1.); }"];

// The middle of a triangle's side that is nearest to the middle of the part's box: there its mark stands on it.
function spot(part, corners) {
  const middle = part.low.map((s, k) => (s + part.high[k]) / 2);
  let found = middle, least = Infinity;
  for (let i = 0; i < corners.length; i += 18) {
    for (const [a, b] of [[0, 6], [6, 12], [12, 0]]) {
      const at = [0, 1, 2].map((k) => (corners[i + a + k] + corners[i + b + k]) / 2);
      const away = Math.hypot(at[0] - middle[0], at[1] - middle[1], at[2] - middle[2]);
      if (away < least) [found, least] = [at, away];
    }
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
    for (const part of PARTS) {
      const corners = part.skin();
      part.count = corners.length / 6;
      part.spot = spot(part, corners);
      part.buffer = this.buffer(corners);
      part.edges = this.buffer(part.ends);
    }
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

  points(buffer, stride, normals) {
    const gl = this.gl;
    gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
    gl.enableVertexAttribArray(0);
    gl.vertexAttribPointer(0, 3, gl.FLOAT, false, stride, 0);
    if (normals) { gl.enableVertexAttribArray(1); gl.vertexAttribPointer(1, 3, gl.FLOAT, false, stride, 12); } else gl.disableVertexAttribArray(1);
  }

  get matrix() { return this.camera.matrix(this.width, this.height, this.camera.depths(this.shown)); }

  draw() {
    const gl = this.gl, matrix = this.matrix, { right, up, toward } = this.camera.axes;
    gl.viewport(0, 0, this.canvas.width, this.canvas.height);
    gl.clearColor(1, 1, 1, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    this.start(this.skin, matrix);
    gl.uniform3fv(this.skin.at.r, right); gl.uniform3fv(this.skin.at.u, up); gl.uniform3fv(this.skin.at.f, toward);
    for (const part of this.shown) {
      gl.uniform3fv(this.skin.at.c, part === this.chosen ? CHOSEN : part.given ? GIVEN : COLOURS[part.kind] || OTHER);
      gl.uniform1f(this.skin.at.faint, this.chosen && part !== this.chosen ? 0.45 : 0);
      this.points(part.buffer, 24, true);
      gl.drawArrays(gl.TRIANGLES, 0, part.count);
    }
    // Edges stand before their own skin by what a pixel measures, which is less than a wall where one sees a wall.
    const near = matrix.slice(), [back, front] = this.camera.depths(this.shown);
    near[14] -= 2 * NEARER * this.camera.span / Math.min(this.width, this.height) / (front - back);
    this.start(this.plain, near);
    for (const part of this.shown) {
      gl.uniform3fv(this.plain.at.c, part.beside || (this.chosen && part !== this.chosen) ? [0.5, 0.5, 0.5] : [0.05, 0.05, 0.05]);
      this.points(part.edges, 12, false);
      gl.drawArrays(gl.LINES, 0, part.ends.length / 3);
    }
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
      const seen = this.reach(part, m), half = pen.measureText(part.mark).width / 2 + 5;
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
    const count = part.ends.length / 3;
    const edges = count ? [0, 0.2, 0.4, 0.6, 0.8].map((share) => 3 * Math.floor(share * count)) : [];
    return [part.spot, ...edges.map((at) => part.ends.slice(at, at + 3))];
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
    this.start(this.plain, this.matrix);
    for (const part of this.shown) {
      const id = part.index + 1;
      gl.uniform3fv(this.plain.at.c, [(id >> 8) / 255, (id & 255) / 255, 1]);
      this.points(part.buffer, 24, false);
      gl.drawArrays(gl.TRIANGLES, 0, part.count);
    }
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
