// The picture: drawn anew in place when the job was built again; a tap opens what makes the part.
const view = new View($("#view"), $("#tags"));
let from = {}, titles = {}; // by mark: the table of the file that makes the part, and what it is called
let seen = false;

function renew(data) {
  const chosen = view.chosen && view.chosen.mark;
  DATA.units = data.units;
  from = data.from;
  titles = data.titles;
  PARTS.splice(0, PARTS.length, ...partsOf(data));
  BY_MARK.clear();
  for (const part of PARTS) if (!part.beside) BY_MARK.set(part.mark, part);
  levels();
  view.chosen = BY_MARK.get(chosen) || null;
  if (!view.gl) return;
  view.fill();
  if (!seen || view.camera.fitted) { if (!seen) view.look("corner"); view.fit(); }
  seen = true;
  view.schedule();
}

// Marks and outlines as the checks found the parts.
let graded = {};
function levels() { for (const part of PARTS) part.level = graded[part.mark] || null; if (view.gl) view.schedule(); }

function light(mark) { view.chosen = BY_MARK.get(mark) || null; if (view.gl) view.schedule(); }

if (view.gl) {
  listen(view, ([x, y], twice) => {
    if (twice) { if (view.chosen) view.frame(view.chosen, true); else view.fit(); return; }
    const part = view.part(x, y);
    if (!part || part.beside || !from[part.mark]) { shut(); return; }
    light(part.mark);
    $("#where").classList.toggle("left", x > view.width / 2);
    open(from[part.mark], $("#where"), part.mark);
  });
  const does = { all() { view.fit(); }, near() { view.nearer(1.35); }, far() { view.nearer(1 / 1.35); } };
  for (const button of $$("#looks [data-look]")) button.addEventListener("click", () => { view.look(button.dataset.look); view.fit(); });
  for (const button of $$("#looks [data-do]")) button.addEventListener("click", () => does[button.dataset.do]());
} else {
  for (const id of ["#view", "#tags", "#looks"]) $(id).hidden = true;
  $("#blind").hidden = false;
}
$("#view").addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || !view.gl) return;
  const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }, way = ways[event.key];
  view.stop();
  if (way && event.shiftKey) view.camera.shift(way[0] * 0.08, -way[1] * 0.08);
  else if (way) view.camera.swing(way[0] * 0.12, way[1] * 0.12);
  else if (event.key === "+" || event.key === "=") view.nearer(1.2);
  else if (event.key === "-") view.nearer(1 / 1.2);
  else if (event.key === "Home") view.fit();
  else return;
  event.preventDefault();
  view.schedule();
});
