// What is written on the view: marks, each on its part or beside it with a leader; the axes; what is measured.
const CELL = 4; // CSS pixels
const TALL = 20; // of a mark, CSS pixels
const ROUNDS = [24, 40, 60, 84].flatMap((far) => Array.from({ length: 12 }, (_, i) => [far * Math.cos(i * Math.PI / 6), far * Math.sin(i * Math.PI / 6)]));
const INK = { stop: "#a80016", warn: "#ffb300" };

class Labels {
  constructor(canvas) {
    this.canvas = canvas;
    this.pen = canvas.getContext("2d");
    this.on = true;
    this.left = 0; // marks in sight that found no room
  }

  draw(view, m) {
    const pen = this.pen, { width, height, ratio } = view;
    this.dark = view.colours === NIGHT;
    this.ink = this.dark ? "#f5f5f5" : "#101010";
    this.paper = this.dark ? "#16181b" : "#fff";
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    pen.clearRect(0, 0, width, height);
    pen.font = "700 13px system-ui, sans-serif";
    pen.textAlign = "center";
    pen.textBaseline = "middle";
    this.left = 0;
    this.put = [];
    this.taken = new Uint8Array(Math.ceil(width / CELL) * Math.ceil(height / CELL));
    this.across = Math.ceil(width / CELL);
    this.size = [width, height];
    this.axes(view);
    this.measure(view, m);
    if (this.on) this.marks(view, m);
  }

  // Whether nothing is written in a box yet and it lies in the view.
  free([x0, y0, x1, y1]) {
    if (x0 < 1 || y0 < 1 || x1 > this.size[0] - 1 || y1 > this.size[1] - 1) return false;
    for (let y = Math.floor(y0 / CELL); y <= y1 / CELL; y++) for (let x = Math.floor(x0 / CELL); x <= x1 / CELL; x++) if (this.taken[y * this.across + x]) return false;
    return true;
  }

  take([x0, y0, x1, y1]) {
    for (let y = Math.max(0, Math.floor(y0 / CELL)); y <= y1 / CELL; y++) for (let x = Math.max(0, Math.floor(x0 / CELL)); x <= x1 / CELL && x < this.across; x++) this.taken[y * this.across + x] = 1;
  }

  // The chosen part's first, then those that a check found wrong.
  marks(view, m) {
    const rank = (part) => part === view.chosen ? 0 : part.level === "stop" ? 1 : part.level === "warn" ? 2 : 3;
    const waiting = [], put = [], leaders = [], take = (part, x, y) => { this.take(this.box(part, x, y)); put.push([part, x, y]); };
    for (const part of view.shown.slice().sort((a, b) => rank(a) - rank(b))) {
      part.half ??= this.pen.measureText(part.mark).width / 2 + 5;
      const seen = this.spots(view, part).filter((at) => view.keeps(at)).map((at) => view.place(at, m)).filter(([x, y]) => x > 0 && y > 0 && x < view.width && y < view.height);
      if (!seen.length) continue; // out of sight
      const box = this.reach(view, part, m), small = box[2] - box[0] < 4 * part.half && box[3] - box[1] < 60;
      // A small part is not covered by its own mark.
      const at = small ? undefined : seen.find(([x, y]) => this.free(this.box(part, x, y)));
      if (at) take(part, ...at);
      else waiting.push([part, seen[0]]);
    }
    for (const [part, [x, y]] of waiting) {
      const way = ROUNDS.find(([dx, dy]) => this.free(this.box(part, x + dx, y + dy)));
      if (!way) { this.left++; continue; }
      leaders.push([x, y, x + way[0], y + way[1]]);
      take(part, x + way[0], y + way[1]);
    }
    this.put = put.map(([part]) => part.mark);
    // No leader runs over a mark.
    for (const each of leaders) this.leader(...each);
    for (const each of put) this.mark(view, ...each);
  }

  box(part, x, y) { return [x - part.half, y - TALL / 2, x + part.half, y + TALL / 2]; }

  mark(view, part, x, y) {
    const pen = this.pen, [x0, y0, x1, y1] = this.box(part, x, y), chosen = part === view.chosen;
    pen.fillStyle = chosen ? "#ffd21f" : this.paper;
    pen.fillRect(x0, y0, x1 - x0, y1 - y0);
    pen.lineWidth = INK[part.level] ? 3 : 1;
    pen.strokeStyle = INK[part.level] || this.ink;
    pen.strokeRect(x0, y0, x1 - x0, y1 - y0);
    pen.fillStyle = chosen ? "#101010" : this.ink;
    pen.fillText(part.mark, x, y + 1);
  }

  leader(x0, y0, x1, y1) {
    const pen = this.pen;
    for (const [width, colour] of [[3, this.paper], [1.2, this.ink]]) {
      pen.lineWidth = width;
      pen.strokeStyle = pen.fillStyle = colour;
      pen.beginPath(); pen.moveTo(x0, y0); pen.lineTo(x1, y1); pen.stroke();
    }
    pen.beginPath(); pen.arc(x0, y0, 2.2, 0, 7); pen.fill();
  }

  // Where a part's mark may stand in the job: its middle, else where it has edges.
  spots(view, part) {
    const count = part.lines.length;
    part.spots ??= count ? [0, 0.2, 0.4, 0.6, 0.8].map((share) => part.lines[Math.floor(share * count)]) : [];
    return [view.spot(part), ...part.spots.map((v) => view.corner(part, v))];
  }

  // The box of the screen that holds the box of a part, CSS pixels.
  reach(view, part, m) {
    const box = [Infinity, Infinity, -Infinity, -Infinity];
    for (let i = 0; i < 8; i++) {
      const [x, y] = view.place([0, 1, 2].map((k) => (i >> k & 1 ? (part.most || part.high) : (part.least || part.low))[k]), m);
      box[0] = Math.min(box[0], x); box[1] = Math.min(box[1], y);
      box[2] = Math.max(box[2], x); box[3] = Math.max(box[3], y);
    }
    return box;
  }

  // Which way the job's axes run, in the lower left corner.
  axes(view) {
    const pen = this.pen, { right, up } = view.camera.axes, x = 46, y = view.height - 46;
    this.take([0, y - 44, 92, view.height]);
    ["x", "y", "z"].forEach((name, k) => {
      const dx = 30 * right[k], dy = -30 * up[k], long = Math.hypot(dx, dy);
      if (long < 5) return;
      pen.lineWidth = 2;
      pen.strokeStyle = pen.fillStyle = this.ink;
      pen.beginPath(); pen.moveTo(x, y); pen.lineTo(x + dx, y + dy); pen.stroke();
      pen.fillText(name, x + dx * (1 + 10 / long), y + dy * (1 + 10 / long));
    });
  }

  // The places measured between, the line from one to the other, and how long it is; and what is nearest in a travel.
  measure(view, m) {
    const near = view.travel?.of.near[view.travel.place];
    if (near) this.span([near[4].slice(0, 3), near[4].slice(3)].map((at) => view.place(at, m)), near[2], near[3] ? this.ink : INK.stop, this.paper);
    const seen = view.measured.map((at) => view.place(at, m)), text = seen.length === 2 ? lengthText(apart(...view.measured)) : "";
    this.span(seen, text, this.dark ? "#8fb4ff" : "#0636a8", this.dark ? "#101010" : "#fff");
  }

  span(seen, text, ink, paper) {
    const pen = this.pen;
    pen.strokeStyle = pen.fillStyle = ink;
    pen.lineWidth = 2;
    for (const [x, y] of seen) { pen.beginPath(); pen.arc(x, y, 5, 0, 7); pen.stroke(); }
    if (seen.length < 2) return;
    pen.beginPath(); pen.moveTo(...seen[0]); pen.lineTo(...seen[1]); pen.stroke();
    const half = pen.measureText(text).width / 2 + 6;
    const [x, y] = [0, 1].map((k) => (seen[0][k] + seen[1][k]) / 2);
    this.take([x - half, y - 12, x + half, y + 12]);
    pen.fillRect(x - half, y - 12, 2 * half, 24);
    pen.fillStyle = paper;
    pen.fillText(text, x, y + 1);
  }
}
