// The chosen part: in the view, on its sheet, in the cut list and in the address, all alike.
const $ = (query, within = document) => within.querySelector(query);
const $$ = (query, within = document) => [...within.querySelectorAll(query)];
document.documentElement.classList.add("scripted");

const view = new View($("#view"), $("#tags"));
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
  stand(chosen === null ? null : BY_MARK.get(chosen));
  if (chosen !== null) {
    const title = `${chosen} ${sheets.get(chosen).title}`;
    $("#picked span").textContent = title;
    say(title + " chosen");
  }
}

function address(mark) {
  history.replaceState(null, "", mark === null ? location.pathname + location.search : "#part-" + encodeURIComponent(mark));
}

function step(by) {
  const at = marks.indexOf(chosen);
  const mark = marks[(at < 0 ? (by > 0 ? 0 : marks.length - 1) : at + by + marks.length) % marks.length];
  choose(mark);
  address(mark);
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

window.addEventListener("hashchange", follow);

for (const button of $$("#step button")) button.addEventListener("click", () => step(Number(button.dataset.step)));

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
  $("#found-none").textContent = kept.size ? "" : `Nothing here is called ${search.value.trim()}.`;
  say(kept.size ? `${kept.size} of ${marks.length} marks in the cut list` : "");
});
$("#find").addEventListener("submit", (event) => {
  event.preventDefault();
  const text = scanned(search.value).trim().toLowerCase();
  const exact = marks.find((mark) => mark.toLowerCase() === text), first = text ? fitting(text)[0] : null;
  const mark = exact || (first && first.dataset.mark);
  if (!mark) { $("#found-none").textContent = text ? `Nothing here is called ${search.value.trim()}.` : "Type a mark, or a word of a part."; return; }
  search.value = "";
  search.dispatchEvent(new Event("input"));
  address(mark);
  follow();
});

// Folded-up tables print open, and the view as a picture.
window.addEventListener("beforeprint", () => {
  for (const each of $$("details:not([open])")) { each.open = true; each.dataset.shut = ""; }
  if (view.gl) $("#still").setAttribute("src", view.picture());
});
window.addEventListener("afterprint", () => {
  for (const each of $$("details[data-shut]")) { each.open = false; delete each.dataset.shut; }
  $("#still").removeAttribute("src");
});
