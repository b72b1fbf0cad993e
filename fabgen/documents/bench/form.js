// The form of a table: a field a key, made from what the program says of it.
const form = $("#form");
let opened = null; // the table, as JSON
let shown = null; // the form as last got

async function open(at, where, mark) {
  opened = JSON.stringify(at);
  shown = null;
  where.append(form);
  form.dataset.mark = mark || "";
  expanded();
  await refresh(true);
  if (form.hidden) return;
  if (where.id === "where") form.scrollIntoView({ block: "nearest" });
  $("#form-title").focus({ preventScroll: true });
}

function shut() {
  opened = shown = null;
  form.hidden = true;
  light(null);
  expanded();
}

let asks = 0;
// What the file has now; what is being typed stays.
async function refresh(afresh = false) {
  if (opened === null) return;
  const of = opened, asked = ++asks;
  let got;
  try {
    const answer = await fetch("form?at=" + encodeURIComponent(of));
    got = await answer.json();
    if (!answer.ok) { if (now && !now.list.length) return; shut(); return; }
  } catch { return; }
  if (of !== opened || (asked !== asks && !afresh)) return; // a later one is on its way
  const asBefore = !afresh && shown && JSON.stringify(shown.fields.map((f) => f.key)) === JSON.stringify(got.fields.map((f) => f.key));
  shown = got;
  $("#form-title").textContent = got.title;
  const { mark } = form.dataset;
  $("#form-note").textContent = (mark && mark !== got.name && got.at.length > 1 ? `${mark} is made after it. ` : "") + got.note;
  // Some notes have a small picture in letters.
  $("#form-note").classList.toggle("drawn", /\n +\S/.test(got.note));
  $("#delete").hidden = got.at.length < 2;
  if (asBefore) for (const field of got.fields) fill(field); else build();
  form.hidden = false;
  faultsAtFields();
  barred();
}

function build() {
  const given = $("#fields"), more = $("#more div");
  given.textContent = more.textContent = "";
  for (const field of shown.fields) (field.given || field.needed ? given : more).append(fieldOf(field));
  if (shown.grows) given.append(fresh());
  const count = more.children.length;
  $("#more").hidden = !count;
  $("#more").open = false;
  $("#more summary").textContent = `${count} more that it can have`;
}

let ids = 0;
function fieldOf(field) {
  const box = made("div", "", { className: "field" }), id = `f${++ids}`, line = made("div", "", { className: "in" });
  box.dataset.key = field.key;
  const input = document.createElement(field.choices.length ? "select" : "input");
  input.id = id;
  if (field.choices.length) {
    input.append(made("option", field.default ? `left out: ${field.default}` : "left out", { value: "" }));
    for (const word of field.choices) input.append(made("option", word, { value: word }));
  } else {
    Object.assign(input, { type: "text", autocomplete: "off", spellcheck: false, autocapitalize: "off" });
    if (field.default) input.placeholder = field.default;
    if (field.offered.length) {
      const offer = made("datalist", "", { id: id + "-of" });
      for (const word of field.offered) offer.append(made("option", "", { value: word }));
      input.setAttribute("list", offer.id);
      line.append(offer);
    }
  }
  line.append(input, made("span", "", { className: "beside" }));
  box.append(made("label", field.key, { htmlFor: id }), line);
  const about = made("p", field.words, { className: "small", id: id + "-about" }), fault = made("p", "", { className: "fault", id: id + "-fault" });
  fault.setAttribute("role", "alert");
  if (field.words) box.append(about);
  box.append(fault);
  input.setAttribute("aria-describedby", [field.words && about.id, fault.id].filter(Boolean).join(" "));
  input.addEventListener("change", () => settle(field.key, box, input));
  fill(field, box);
  return box;
}

function fieldBox(key) { return $$(".field", form).find((box) => box.dataset.key === key); }

function fill(field, box = fieldBox(field.key)) {
  const input = $("input, select", box);
  if (input.tagName === "SELECT" && field.value && ![...input.options].some((option) => option.value === field.value)) input.append(made("option", field.value, { value: field.value }));
  // Not what is being typed, nor what was refused and stands to be mended.
  if (box.dataset.refused === undefined && (document.activeElement !== input || input.value === input.dataset.was)) input.value = field.value;
  input.dataset.was = field.value;
  input.readOnly = field.apart;
  if (field.apart) input.placeholder = "several lines: change it in the text";
  $(".beside", box).textContent = field.beside;
}

async function settle(key, box, input) {
  if (input.value === input.dataset.was) { delete box.dataset.refused; faultsAtFields(); return; }
  const { number, at } = shown;
  box.dataset.refused = "";
  const answer = await change("set", { number, at, key, typed: input.value });
  if (answer.refused) box.dataset.refused = answer.refused;
  else delete box.dataset.refused;
  if (answer.left) input.value = input.dataset.was;
  faultsAtFields();
  if (!answer.refused) refresh();
}

// A new name of the job's own.
function fresh() {
  const box = made("div", "", { className: "field" }), line = made("div", "", { className: "in" });
  const name = made("input", "", { type: "text", placeholder: "name", autocomplete: "off" }), value = made("input", "", { type: "text", placeholder: "value", autocomplete: "off" });
  name.setAttribute("aria-label", "New name");
  value.setAttribute("aria-label", "Its value");
  const add = made("button", "Add", { type: "button" }), fault = made("p", "", { className: "fault" });
  fault.setAttribute("role", "alert");
  add.addEventListener("click", async () => {
    const { number, at } = shown;
    const answer = await change("set", { number, at, key: name.value.trim(), typed: value.value });
    fault.textContent = answer.refused || "";
    if (!answer.refused) refresh(true);
  });
  line.append(name, value, add);
  box.append(line, fault);
  return box;
}

// The words of `check` at the fields that they are about.
function faultsAtFields() {
  if (!shown) return;
  for (const box of $$(".field[data-key]", form)) {
    const said = faultsNow().filter(({ at }) => JSON.stringify(at.slice(0, shown.at.length)) === JSON.stringify(shown.at) && at[shown.at.length] === box.dataset.key).map(({ words }) => words);
    if (box.dataset.refused) said.unshift(box.dataset.refused + "\nThe file is as it was.");
    $(".fault", box).textContent = said.join("\n");
    box.classList.toggle("faulty", said.length > 0);
    $("input, select", box).setAttribute("aria-invalid", String(said.length > 0));
  }
}

function barred() {
  for (const each of $$("input, select, #delete, .field button", form)) each.disabled = !first;
}

form.addEventListener("submit", (event) => event.preventDefault());
$("#close").addEventListener("click", shut);
$("#delete").addEventListener("click", async () => {
  const { number, at, title } = shown;
  const { lines, refused } = await ask("depends", { number, at });
  if (refused) { tell(refused); return; }
  const about = $("#ask-about");
  about.textContent = "";
  about.append(made("p", lines.length ? "The job does not read without it until these are changed too:" : "Nothing else in the job names it."));
  if (lines.length) about.append(made("pre", lines.join("\n")));
  if (!await dialog(`Delete ${title}?`, [["Delete", true], ["Leave it", false]])) return;
  const answer = await change("delete", { number, at });
  if (answer.refused) tell(answer.refused); else shut();
});
document.addEventListener("keydown", (event) => { if (event.key === "Escape" && !$("#ask").open && !event.target.matches("input, textarea")) shut(); });
