// The chosen part: in the view, on its sheet, in the cut list and in the address, all alike.
const $ = (query, within = document) => within.querySelector(query);
const $$ = (query, within = document) => [...within.querySelectorAll(query)];
document.documentElement.classList.add("scripted");

const view = new View($("#view"), $("#tags"));
if (!view.gl) {
  for (const id of ["#view", "#tags", "#tools", "#keys", "#picked"]) $(id).hidden = true;
  $("#stage").style.height = $("#stage").style.minHeight = "auto";
  $("#blind").hidden = false;
}
const sheets = new Map(DATA.sheets.map(([mark, title, own, found, drawn]) => [mark, { title, own, found, drawn }]));
const marks = [...sheets.keys()];
const article = $("article.part"), head = $("h3", article), texts = new Archive(DATA.texts);
const ROWS = new Map($$("#cuts tr[data-mark]").map((row) => [row.dataset.mark, row]));
let chosen = null;

function say(text) { $("#say").textContent = text; }

// The sheet of the chosen part, unpacked; what comes late for a part that is no longer chosen is dropped.
async function unfold(mark) {
  const { title, own, found, drawn } = sheets.get(mark), places = [$("#own"), $("#drawn"), $("#found")];
  article.id = "part-" + encodeURIComponent(mark);
  article.dataset.mark = mark;
  delete article.dataset.whole;
  $("b", head).textContent = mark;
  $("span", head).textContent = title;
  for (const place of places) place.textContent = "";
  $("#found").hidden = !found.length;
  $("#nothing").hidden = found.length > 0;
  if (typeof DecompressionStream === "undefined") {
    places[0].textContent = "This browser is too old to unfold the sheet; the drawings are in drawings.pdf too.";
    return;
  }
  const made = await Promise.all([own, drawn, ...found].map((number) => texts.text(number)));
  if (chosen !== mark) return;
  places[0].innerHTML = made[0];
  places[1].innerHTML = made[1];
  places[2].innerHTML = made.slice(2).join("");
  article.dataset.whole = "";
}

function choose(mark) {
  chosen = sheets.has(mark) ? mark : null;
  article.hidden = chosen === null;
  if (chosen === null) { article.removeAttribute("id"); delete article.dataset.mark; } else if (article.dataset.mark !== chosen) unfold(chosen);
  for (const row of $$("#cuts tr.chosen")) row.classList.remove("chosen");
  const row = chosen !== null && ROWS.get(chosen);
  if (row) row.classList.add("chosen");
  $("#none").hidden = chosen !== null;
  $("#step").hidden = chosen === null;
  $("#picked").classList.toggle("chosen", chosen !== null);
  $("#picked a").hidden = chosen === null;
  if (chosen === null) $("#picked span").textContent = "No part is chosen.";
  $("#alone").disabled = chosen === null;
  view.chosen = chosen === null ? null : BY_MARK.get(chosen);
  if (chosen === null && view.alone) setAlone(false);
  if (chosen !== null) {
    const title = `${chosen} ${sheets.get(chosen).title}`;
    $("#picked span").textContent = title;
    say(title + " chosen");
  }
  if (view.gl) view.schedule();
}

function address(mark) {
  history.replaceState(null, "", mark === null ? location.pathname + location.search : "#part-" + encodeURIComponent(mark));
}

function setAlone(on) {
  view.alone = on;
  $("#alone").setAttribute("aria-pressed", on);
  view.fit();
}

function step(by) {
  const at = marks.indexOf(chosen);
  const mark = marks[(at < 0 ? (by > 0 ? 0 : marks.length - 1) : at + by + marks.length) % marks.length];
  choose(mark);
  address(mark);
  if (view.alone) view.fit();
}

function follow() {
  if (!location.hash.startsWith("#part-")) return;
  let mark;
  try { mark = decodeURIComponent(location.hash.slice(6)); } catch { return; }
  if (!sheets.has(mark)) return;
  choose(mark);
  head.scrollIntoView({ block: "start" });
  head.focus({ preventScroll: true });
}

view.onPick = (part) => { choose(part ? part.mark : null); address(chosen); };
window.addEventListener("hashchange", follow);

for (const button of $$("#tools [data-look]")) {
  button.addEventListener("click", () => {
    const name = button.dataset.look;
    if (name === "near" || name === "far") { view.camera.zoom(name === "near" ? 1.35 : 1 / 1.35); view.schedule(); return; }
    if (name === "all") { if (view.alone) setAlone(false); } else view.look(name);
    view.fit();
  });
}
$("#alone").addEventListener("click", () => setAlone(!view.alone));
$("#names").addEventListener("click", () => {
  view.names = !view.names;
  $("#names").setAttribute("aria-pressed", view.names);
  view.schedule();
});
for (const button of $$("#step button")) button.addEventListener("click", () => step(Number(button.dataset.step)));

$("#view").addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || !view.gl) return;
  const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  const key = event.key;
  if (ways[key] && event.shiftKey) view.camera.shift(ways[key][0] * 0.08, -ways[key][1] * 0.08);
  else if (ways[key]) view.camera.swing(ways[key][0] * 0.12, ways[key][1] * 0.12);
  else if (key === "+" || key === "=") view.camera.zoom(1.2);
  else if (key === "-") view.camera.zoom(1 / 1.2);
  else if (key === "n" || key === "N") step(1);
  else if (key === "p" || key === "P") step(-1);
  else if (key === "Enter" && chosen !== null) { head.focus(); }
  else if (key === "Escape") { choose(null); address(null); }
  else if (key === "Home") view.fit();
  else return;
  event.preventDefault();
  view.schedule();
});

// A label's code, read by a phone into the search field, names its part after #part-.
function scanned(text) {
  const at = text.indexOf("#part-");
  if (at < 0) return text;
  try { return decodeURIComponent(text.slice(at + 6)); } catch { return text; }
}

// Search: the cut list keeps what fits while one types; Enter goes to the part.
const search = $("#mark");
function fitting(text) {
  const typed = scanned(text).trim().toLowerCase();
  return $$("#cuts tr[data-mark]").filter((row) => row.dataset.find.includes(typed));
}
search.addEventListener("input", () => {
  const kept = new Set(fitting(search.value));
  for (const row of $$("#cuts tr[data-mark]")) row.hidden = !kept.has(row);
  for (const group of $$("#cuts tbody")) group.hidden = $$("tr[data-mark]", group).every((row) => row.hidden);
  say(`${kept.size} of ${marks.length} marks in the cut list`);
});
$("#find").addEventListener("submit", (event) => {
  event.preventDefault();
  const text = scanned(search.value).trim().toLowerCase();
  const exact = marks.find((mark) => mark.toLowerCase() === text), first = text ? fitting(text)[0] : null;
  const mark = exact || (first && first.dataset.mark);
  if (!mark) { say(text ? `No mark ${search.value}` : "Type a mark"); return; }
  search.value = "";
  search.dispatchEvent(new Event("input"));
  address(mark);
  follow();
});

// Folded-up tables print open.
window.addEventListener("beforeprint", () => { for (const each of $$("details:not([open])")) { each.open = true; each.dataset.shut = ""; } });
window.addEventListener("afterprint", () => { for (const each of $$("details[data-shut]")) { each.open = false; delete each.dataset.shut; } });

// The camera and scroll position, kept over a reload.
const CAMERA = "fabgen stand " + DATA.job;
window.addEventListener("pagehide", () => {
  try { sessionStorage.setItem(CAMERA, JSON.stringify([view.camera.turn, view.camera.rise, view.camera.at, view.camera.span, window.scrollY])); } catch { /* no store, no memory */ }
});
choose(null);
follow();
if (performance.getEntriesByType("navigation")[0]?.type === "reload") try {
  const kept = JSON.parse(sessionStorage.getItem(CAMERA));
  if (kept) { [view.camera.turn, view.camera.rise, view.camera.at, view.camera.span] = kept; window.scrollTo(0, kept[4]); if (view.gl) view.schedule(); }
} catch { /* the usual view */ }
