// What the program tells: the job as the file has it, the picture, what the checks found.
let built = { number: -1, faults: [] }, pictured = -1, checked = -1;

function faultsNow() { return now ? [...now.faults, ...(built.number === now.number ? built.faults : [])] : []; }

function stateNow() {
  const wrong = faultsNow(), box = $("#wrong");
  box.hidden = !wrong.length;
  $("p", box).textContent = pictured < 0 ? "The job cannot be built as it stands." : "The job cannot be built as it stands; the picture is the last good one.";
  const list = $("ul", box);
  list.textContent = "";
  for (const { line, words } of wrong) {
    const item = made("li", words);
    if (line) {
      const button = made("button", `Line ${line}`, { type: "button" });
      button.addEventListener("click", () => toLine(line));
      item.append(button);
    }
    list.append(item);
  }
  const fits = pictured === now?.number;
  $("#state").textContent = !first ? "Another window changes this job; this one shows it." : wrong.length ? "" : !fits ? "Building …" : checked !== now.number ? "Checking …" : $("#state").dataset.about || "";
  $("#stage").classList.toggle("old-figures", !fits);
  $("#checks").classList.toggle("old-figures", checked !== now?.number);
  for (const [id, words] of [["#undo", now?.undo], ["#redo", now?.redo]]) {
    $(id).disabled = !first || !words;
    $(id).title = words || "";
  }
  $("#make").disabled = !first || wrong.length > 0;
  $("#text").readOnly = !first;
  lines();
  faultsAtFields();
  barred();
}

const HEARS = {
  job(news) {
    now = news;
    const head = news.list.find(({ table }) => table === "job");
    if (head && head.rows[0]) $("#title").textContent = head.rows[0].words || head.rows[0].name;
    // Of a text that is no TOML there is no list: the last good one stays.
    if (news.list.length) listed(news.list);
    textNow();
    refresh();
  },
  picture(news) { pictured = news.number; renew(news); refresh(); },
  built(news) { built = news; },
  findings(news) {
    checked = news.number;
    graded = news.levels;
    levels();
    $("#state").dataset.about = `${news.mass} in all`;
    const list = $("#found");
    list.textContent = "";
    for (const { level, word, marks, text: said } of news.list) {
      const item = made("li"), flag = made("span", word, { className: "flag" });
      if (level === "stop" || level === "warn") flag.classList.add(level);
      item.append(flag, " ", made("b", marks.slice(0, 12).join(", ") + (marks.length > 12 ? ", …" : "")), said);
      list.append(item);
    }
    $("#checks-of").textContent = news.list.length ? "" : "The checks found nothing to report.";
  },
  papers: papersNow,
  told: tell,
  first(news) { first = news; },
};

const stream = new EventSource("news?window=" + encodeURIComponent(WINDOW));
for (const [kind, hears] of Object.entries(HEARS)) stream.addEventListener(kind, (event) => { hears(JSON.parse(event.data)); stateNow(); });
stream.addEventListener("error", () => { $("#state").textContent = "The program that serves this page does not answer."; });

async function step(way) {
  tell("");
  const { refused } = await ask(way);
  if (refused) tell(refused);
}
$("#undo").addEventListener("click", () => step("undo"));
$("#redo").addEventListener("click", () => step("redo"));
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.target.matches("input, textarea, select")) return;
  const key = event.key.toLowerCase(), way = key === "z" ? (event.shiftKey ? "redo" : "undo") : key === "y" ? "redo" : null;
  if (!way || !first) return;
  event.preventDefault();
  step(way);
});
