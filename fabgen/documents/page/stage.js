// What the buttons, keys and taps of the view do.
const tools = (name) => $(`#tools [data-do="${name}"]`);
const press = (name, on) => tools(name).setAttribute("aria-pressed", on);
let before = null; // where one stood before a part was chosen
let measuring = false;

// The part that is chosen, or null: the view goes to it, and back when it is let go and nobody has moved since.
function stand(part) {
  if (!view.gl || part === view.chosen) return;
  const was = view.chosen;
  view.chosen = part;
  if (part) {
    if (!was) before = view.camera.stand;
    view.hidden.delete(part);
    view.frame(part, view.alone);
  } else {
    if (before && view.framed && sameStand(view.camera.stand, view.framed)) view.glide(before);
    before = null;
    view.alone = false;
  }
  findingBy(part && !part.beside ? part.mark : null);
  update();
}

function sameStand(a, b) { return a.turn === b.turn && a.rise === b.rise && a.span === b.span && a.at.every((s, k) => s === b.at[k]); }

function update() {
  for (const name of ["alone", "hide", "glass"]) tools(name).disabled = !view.chosen;
  press("alone", view.alone);
  press("glass", Boolean(view.chosen && view.glass.has(view.chosen)));
  press("names", view.labels.on);
  press("measure", measuring);
  press("cut", Boolean(view.cut));
  $("#cut").hidden = !view.cut;
  const away = view.hidden.size;
  tools("unhide").hidden = !away && !view.glass.size;
  tools("unhide").textContent = away ? `Show all again (${away} hidden)` : "Show all solid again";
  view.schedule();
}

view.onDrawn = () => {
  standBy();
  const left = view.labels.left, text = left ? `${left} ${left === 1 ? "mark has" : "marks have"} no room here: come nearer` : "";
  if ($("#unmarked").textContent !== text) $("#unmarked").textContent = text;
};

// What a check found on the chosen part stands by it, the gravest first.
async function findingBy(mark) {
  const by = $("#by"), part = BY_MARK.get(mark);
  by.hidden = true;
  by.textContent = "";
  if (!part || !["stop", "warn"].includes(part.level)) return;
  const text = await texts.text(sheets.get(mark).found[0]);
  if (chosen !== mark) return;
  by.innerHTML = $("li", new DOMParser().parseFromString(text, "text/html")).innerHTML;
  by.hidden = false;
  view.schedule();
}

// Beside the part's mark, on the side where there is room.
function standBy() {
  const by = $("#by");
  if (by.hidden || !view.chosen) { by.hidden = true; return; }
  const [x, y] = view.place(view.spot(view.chosen), view.matrix), { offsetWidth: wide, offsetHeight: tall } = by;
  const left = x + 50 + wide < view.width ? x + 50 : x - 50 - wide;
  by.style.left = Math.max(4, Math.min(view.width - wide - 4, left)) + "px";
  by.style.top = Math.max(4, Math.min(view.height - tall - 4, y + (left < 4 ? 24 : -tall / 2))) + "px";
}

// A travel: dragged through, or moved to and fro until it is stopped.
const PACE = 45; // ms a place
let moving = 0;

function travelTo(place) {
  const travel = TRAVELS[Number($("#travel-of").value)];
  if (place !== null) $("#travel-at").value = place;
  view.go(place === null ? null : travel, place);
  const near = place === null ? null : travel.near[place];
  const text = place === null ? "As drawn." : `${travel.driver[place]}${near ? `; nearest: ${near[0]} and ${near[1]}, ${near[2]}${near[3] ? "" : ", less than is wanted"}` : ""}`;
  $("#travelled").textContent = text;
  $("#travel-at").setAttribute("aria-valuetext", text);
  tools("drawn").disabled = place === null;
}

function moveOn() {
  const travel = TRAVELS[Number($("#travel-of").value)], last = travel.count - 1;
  let place = Number($("#travel-at").value), way = 1, before = performance.now();
  const go = (now) => {
    if (now - before >= PACE) {
      if (place + way > last || place + way < 0) way = -way;
      place += way;
      before = now;
      travelTo(place);
    }
    moving = requestAnimationFrame(go);
  };
  moving = requestAnimationFrame(go);
}

function stopMoving() { cancelAnimationFrame(moving); moving = 0; press("move", false); tools("move").textContent = "Move"; }

function travelReady() {
  const travel = TRAVELS[Number($("#travel-of").value)];
  stopMoving();
  Object.assign($("#travel-at"), { min: 0, max: travel.count - 1, value: travel.drawn });
  travelTo(null);
}

if (TRAVELS.length && view.gl) {
  $("#travel-of").addEventListener("input", travelReady);
  $("#travel-at").addEventListener("input", () => { stopMoving(); travelTo(Number($("#travel-at").value)); });
  travelReady();
}

function letGo() { choose(null); address(null); }

const DOES = {
  all() { view.alone = false; view.fit(view.shown); update(); },
  near() { view.nearer(1.35); },
  far() { view.nearer(1 / 1.35); },
  loose() { view.fit(view.shown.filter((part) => !part.placed && !part.beside)); },
  alone() { view.alone = !view.alone; if (view.alone) view.frame(view.chosen, true); else view.fit(); update(); },
  hide() { view.hidden.add(view.chosen); letGo(); update(); },
  glass() { if (!view.glass.delete(view.chosen)) view.glass.add(view.chosen); update(); },
  unhide() { view.hidden.clear(); view.glass.clear(); update(); },
  names() { view.labels.on = !view.labels.on; update(); },
  measure() { measuring = !measuring; view.measured = []; $("#length").textContent = measuring ? "Tap two places: corners are caught." : ""; update(); },
  cut() { if (view.cut) { view.cut = null; } else cutAsSet(); update(); },
  move() { if (moving) { stopMoving(); return; } press("move", true); tools("move").textContent = "Stop"; moveOn(); },
  drawn() { travelReady(); },
  whole() { setWhole(!document.body.classList.contains("whole")); },
};

// The plane as its slider and its list say.
function cutAsSet() { view.cutAt(Number($("#cut-axis").value), Number($("#cut-at").value) / 1000); }
$("#cut-at").addEventListener("input", cutAsSet);
$("#cut-axis").addEventListener("input", cutAsSet);

// The view alone on the screen: by the browser where it can, else by covering the page.
function setWhole(on) {
  document.body.classList.toggle("whole", on);
  press("whole", on);
  if (on) $("#assembly").requestFullscreen?.().catch(() => {});
  else if (document.fullscreenElement) document.exitFullscreen();
}
document.addEventListener("fullscreenchange", () => { if (!document.fullscreenElement) setWhole(false); });

if (view.gl) {
  for (const button of $$("#tools [data-look]")) button.addEventListener("click", () => { view.look(button.dataset.look); view.fit(view.alone && view.chosen ? [view.chosen] : undefined); });
  for (const button of $$("#tools [data-do]")) button.addEventListener("click", () => DOES[button.dataset.do]());
  listen(view, ([x, y], twice) => {
    if (measuring) {
      const at = placeAt(view, x, y);
      if (!at) return;
      view.measured = view.measured.length === 2 ? [at] : [...view.measured, at];
      $("#length").textContent = view.measured.length === 2 ? measuredText(view.measured) : "Now the second place.";
      view.schedule();
    } else if (twice) {
      // Of a double tap the first has chosen.
      if (view.chosen) view.frame(view.chosen, true); else view.fit();
    } else {
      const part = view.part(x, y);
      choose(part && !part.beside ? part.mark : null);
      address(chosen);
    }
  });
} else {
  for (const id of ["#view", "#tags", "#tools", "#keys", "#picked", "#seen"]) $(id).hidden = true;
  $("#stage").style.height = $("#stage").style.minHeight = "auto";
  $("#blind").hidden = false;
}

// Keys of the view.
$("#view").addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || !view.gl) return;
  const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  const key = event.key;
  view.stop();
  if (ways[key] && event.shiftKey) view.camera.shift(ways[key][0] * 0.08, -ways[key][1] * 0.08);
  else if (ways[key]) view.camera.swing(ways[key][0] * 0.12, ways[key][1] * 0.12);
  else if (key === "+" || key === "=") view.nearer(1.2);
  else if (key === "-") view.nearer(1 / 1.2);
  else if (key === "n" || key === "N") step(1);
  else if (key === "p" || key === "P") step(-1);
  else if (key === "Enter" && chosen !== null) head.focus();
  else if (key === "Home") view.fit();
  else return;
  event.preventDefault();
  view.schedule();
});
// Esc lets go, wherever one is: of the whole screen, of measuring, of the part.
document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape" || event.target.matches("input")) return;
  if (document.body.classList.contains("whole")) setWhole(false);
  else if (measuring) DOES.measure();
  else if (chosen !== null) letGo();
});

// The camera and scroll position, kept over a reload.
const CAMERA = "fabgen stand " + DATA.job;
window.addEventListener("pagehide", () => {
  try { sessionStorage.setItem(CAMERA, JSON.stringify({ ...view.camera.stand, scroll: window.scrollY })); } catch { /* no store, no memory */ }
});
choose(null);
follow();
if (view.gl) update();
if (performance.getEntriesByType("navigation")[0]?.type === "reload") try {
  const { scroll, ...kept } = JSON.parse(sessionStorage.getItem(CAMERA));
  view.stop();
  view.camera.stand = kept;
  window.scrollTo(0, scroll);
  if (view.gl) view.schedule();
} catch { /* the usual view */ }
