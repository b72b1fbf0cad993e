// The job as a list: a row an entry of the file; tapped, its form opens below it.
function row(each) {
  const item = document.createElement("li"), button = made("button", "", { type: "button" });
  button.append(made("b", each.name), made("span", each.words));
  button.dataset.at = JSON.stringify(each.at);
  button.setAttribute("aria-expanded", "false");
  button.addEventListener("click", () => {
    if (button.getAttribute("aria-expanded") === "true") { shut(); return; }
    const mark = Object.keys(from).find((mark) => JSON.stringify(from[mark]) === button.dataset.at);
    light(mark);
    open(each.at, item, mark);
  });
  item.append(button);
  return item;
}

function listed(groups) {
  const list = $("#list"), focused = document.activeElement?.dataset?.at, was = JSON.stringify(groups);
  if (list.dataset.of === was) return;
  list.dataset.of = was;
  const form = $("#form"), inside = list.contains(form);
  const typing = inside && form.contains(document.activeElement) ? document.activeElement : null;
  if (inside) document.body.append(form);
  list.textContent = "";
  for (const { heading, rows } of groups) {
    const rowsOf = document.createElement("ul");
    rowsOf.append(...rows.map(row));
    list.append(made("h3", heading), rowsOf);
  }
  if (inside) {
    const home = $$("#list button").find((button) => button.dataset.at === opened);
    if (home) { home.parentElement.append(form); typing?.focus(); } else shut();
  }
  expanded();
  if (focused) $$("#list button").find((button) => button.dataset.at === focused)?.focus();
}

function expanded() {
  for (const button of $$("#list button")) button.setAttribute("aria-expanded", String(button.dataset.at === opened));
}
