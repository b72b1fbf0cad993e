// Asking the program for a change, and what it answers.
const $ = (query, within = document) => within.querySelector(query);
const $$ = (query, within = document) => [...within.querySelectorAll(query)];
// Of this window, the same after it is loaded again.
const WINDOW = (() => {
  const fresh = Array.from(crypto.getRandomValues(new Uint32Array(3)), (n) => n.toString(36)).join("");
  try { const kept = sessionStorage.getItem("fabgen window") || fresh; sessionStorage.setItem("fabgen window", kept); return kept; } catch { return fresh; }
})();

// The job as last told: number, text, list, faults, and what undoing and redoing would change.
let now = null;
let first = false; // whether this window is the one that changes the job

function made(tag, text, more = {}) { return Object.assign(document.createElement(tag), { textContent: text ?? "" }, more); }

function tell(text) { $("#told").textContent = text; $("#told").hidden = !text; }

// What is answered, `refused` in it where it was not done.
async function ask(what, said = {}) {
  try {
    const answer = await fetch(what, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ window: WINDOW, ...said }) });
    if (answer.status === 200 || answer.status === 409) return await answer.json();
    return { refused: `the program did not take this (${answer.status})` };
  } catch { return { refused: "the program that serves this page is not there any more: start fabgen bench again" }; }
}

// A change; where the file has another one in the same lines the user is asked which to keep.
async function change(what, said) {
  let answer = await ask(what, said);
  if (answer.asked) {
    const own = await choice(answer.asked);
    if (own === null) return { left: true };
    answer = await ask(what, { ...said, own_first: own });
  }
  return answer;
}

function choice(clashes) {
  const about = $("#ask-about");
  about.textContent = "";
  for (const { line, own, other } of clashes) {
    about.append(made("p", `Line ${line}. You have:`), made("pre", own || "(nothing)"), made("p", "The file has now:"), made("pre", other || "(nothing)"));
  }
  return dialog("The same place was changed by somebody else", [["Keep mine", true], ["Keep the file's", false], ["Leave it for now", null]]);
}

function dialog(title, buttons) {
  const box = $("#ask"), does = $("#ask-does");
  $("#ask-title").textContent = title;
  does.textContent = "";
  return new Promise((done) => {
    let answer = null;
    for (const [text, value] of buttons) {
      const button = made("button", text, { type: "button" });
      button.addEventListener("click", () => { answer = value; box.close(); });
      does.append(button);
    }
    box.addEventListener("close", () => done(answer), { once: true });
    box.showModal();
  });
}
