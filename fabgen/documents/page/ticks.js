// Ticks of the cut list, kept in this browser by job number and mark, with the shape they were set for.
const TICKS = (mark) => `fabgen ticks ${DATA.job} ${mark}`;
const memory = new Map();
const store = {
  read(key) { try { return localStorage.getItem(key); } catch { return memory.get(key) ?? null; } },
  write(key, value) { try { if (value) localStorage.setItem(key, value); else localStorage.removeItem(key); } catch { memory.set(key, value); } },
};

function boxes(row) { return $$("input[type=checkbox]", row); }

function show(row) {
  const [ticks, shape] = (store.read(TICKS(row.dataset.mark)) || "").split(" ");
  boxes(row).forEach((box, i) => { box.checked = ticks[i] === "1"; });
  const old = shape && shape !== row.dataset.print && ticks.includes("1");
  let word = $(".old", row);
  if (old && !word) {
    word = document.createElement("span");
    word.className = "old";
    word.textContent = "changed since it was ticked";
    $(".what", row).append(word);
  } else if (!old && word) word.remove();
  row.classList.toggle("all", boxes(row).every((box) => box.checked));
}

function keep(row) {
  const ticks = boxes(row).map((box) => (box.checked ? "1" : "0")).join("");
  store.write(TICKS(row.dataset.mark), ticks.includes("1") ? `${ticks} ${row.dataset.print}` : "");
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
