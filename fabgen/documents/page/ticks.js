// Ticks of the cut list, kept in this browser by job number and mark: of each box the print of the metal that it was
// ticked for, or a dash.
const TICKS = (mark) => `fabgen ticks ${DATA.job} ${mark}`;
const memory = new Map();
const store = {
  read(key) { try { return localStorage.getItem(key); } catch { return memory.get(key) ?? null; } },
  write(key, value) { try { if (value) localStorage.setItem(key, value); else localStorage.removeItem(key); } catch { memory.set(key, value); } },
};

function boxes(row) { return $$("input[type=checkbox]", row); }

function ticksOf(row) {
  const kept = (store.read(TICKS(row.dataset.mark)) || "").split(" ");
  // As older pages kept them: "0110 print".
  if (kept.length === 2 && /^[01]+$/.test(kept[0])) return [...kept[0]].map((tick) => (tick === "1" ? kept[1] : "-"));
  return kept;
}

function show(row) {
  const ticks = ticksOf(row);
  boxes(row).forEach((box, i) => { box.checked = Boolean(ticks[i]) && ticks[i] !== "-"; });
  const ticked = boxes(row).filter((box) => box.checked).length;
  const old = boxes(row).filter((box, i) => box.checked && ticks[i] !== row.dataset.print).length;
  let word = $(".old", row);
  if (!old && word) word.remove();
  if (old && !word) {
    word = document.createElement("span");
    word.className = "old";
    $(".what", row).append(word);
  }
  if (old) word.textContent = old === ticked ? "changed since ticked" : `changed since ${old} of ${ticked} were ticked`;
  // What has changed is not done, nor is what has no box (there already, bought): its row is not struck out.
  row.classList.toggle("all", !old && boxes(row).length > 0 && boxes(row).every((box) => box.checked));
}

function keep(row) {
  const before = ticksOf(row), known = (tick) => tick && tick !== "-";
  // A tick keeps the print that it was set for.
  const ticks = boxes(row).map((box, i) => (!box.checked ? "-" : known(before[i]) ? before[i] : row.dataset.print));
  store.write(TICKS(row.dataset.mark), ticks.some(known) ? ticks.join(" ") : "");
  show(row);
  tally();
}

function tally() {
  const all = $$("#cuts input[type=checkbox]"), done = all.filter((box) => box.checked).length;
  $("#count").textContent = `${done} of ${all.length} boxes ticked`;
  $("#clear").hidden = done === 0;
}

for (const row of $$("#cuts tr[data-mark]")) {
  show(row);
  row.addEventListener("change", () => keep(row));
}
$("#clear").addEventListener("click", () => {
  if (!window.confirm("Clear every tick of this job?")) return;
  for (const row of $$("#cuts tr[data-mark]")) {
    for (const box of boxes(row)) box.checked = false;
    keep(row);
  }
});
window.addEventListener("storage", () => { for (const row of $$("#cuts tr[data-mark]")) show(row); tally(); });
tally();
