// The job file as text: typed in place, and put into the file at a pause.
const PAUSE = 700; // ms
const text = $("#text");
let begun = null; // the number of the text that what stands here came from, and that text
let waits = 0, sending = false;

function textNow() {
  // What is typed and not yet in the file stays; the file's changes are merged with it when it is sent.
  if (begun && text.value !== begun.text) return;
  if (sending) return;
  begun = { number: now.number, text: now.text };
  if (text.value === now.text) return;
  const { selectionStart, selectionEnd, scrollTop } = text;
  text.value = now.text;
  // A browser shows all ends of lines alike.
  begun.text = text.value;
  text.setSelectionRange(selectionStart, selectionEnd);
  text.scrollTop = scrollTop;
}

async function send() {
  if (sending || !begun || text.value === begun.text) return;
  sending = true;
  const value = text.value, crlf = now.text.includes("\r\n");
  const answer = await change("text", { number: begun.number, text: crlf ? value.replace(/\n/g, "\r\n") : value });
  sending = false;
  if (answer.refused) { tell(answer.refused); return; }
  if (answer.left) return;
  begun = { number: answer.number, text: value };
  if (text.value === value) textNow(); else send();
}

text.addEventListener("input", () => { clearTimeout(waits); waits = setTimeout(send, PAUSE); lines(); });
text.addEventListener("blur", send);
text.addEventListener("scroll", () => { $("#lines").scrollTop = text.scrollTop; });

function lines() {
  const wrong = new Set(faultsNow().map(({ line }) => line)), count = text.value.split("\n").length, box = $("#lines");
  box.textContent = "";
  for (let i = 1; i <= count; i++) box.append(wrong.has(i) ? made("b", String(i)) : String(i), "\n");
  box.scrollTop = text.scrollTop;
}

function asText(on) {
  $("#written").hidden = !on;
  $("#as-text").setAttribute("aria-pressed", String(on));
  if (on) { lines(); $("#written").scrollIntoView({ block: "nearest" }); }
}

function toLine(line) {
  asText(true);
  const at = text.value.split("\n").slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0), end = text.value.indexOf("\n", at);
  text.focus();
  text.setSelectionRange(at, end < 0 ? text.value.length : end);
  text.scrollTop = Math.max(0, (line - 6) * parseFloat(getComputedStyle(text).lineHeight));
}

$("#as-text").addEventListener("click", () => asText($("#written").hidden));
