// Searches what the page holds: headings, keys, sentences, pictures and starters.  All words must be there.
"use strict";
{
  const $ = (id) => document.getElementById(id);
  const box = $("search"), wanted = $("wanted"), list = $("found"), count = $("count");
  const MOST = 40, AROUND = 60;
  let places = null;

  const said = (node) => node.textContent.replace(/\s+/g, " ").trim();

  // Each place once, with the heading above it; the innermost that one would read as a whole.
  function gathered() {
    const heads = [], found = [];
    for (const node of document.querySelectorAll(
      "main h2, main h3, main h4, main tbody tr, main li, main section > p, main dl > div, main figure, main details, main section > pre",
    )) {
      const level = /^H(\d)$/.exec(node.tagName);
      if (level) heads.splice(level[1] - 2, 3, said(node));
      const name = level || node.tagName === "FIGURE" ? node : node.querySelector("th, dt, b") || node;
      const key = (node.tagName === "FIGURE" ? said(node.querySelector("figcaption")) : said(name)).toLowerCase();
      const parts = { TR: "th, td", DIV: "dt, dd", DETAILS: "pre" }[node.tagName];
      const cells = (parts ? [...node.querySelectorAll(parts)] : [node]).map(said);
      const text = node.tagName === "FIGURE" ? said(node.querySelector("figcaption")) + ": " + said(node.querySelector("pre")) : cells.join(": ");
      found.push({ node, level: level ? +level[1] : 0, key, text, where: heads.filter(Boolean).join(", "), low: (text + " " + heads.join(" ")).toLowerCase() });
    }
    return found;
  }

  function worth(place, words, whole) {
    if (place.level && place.key.replace(/[[\]]/g, "") === whole) return 5;
    if (place.key === whole) return 4;
    if (place.level && place.key.includes(whole)) return 3;
    if (place.key.startsWith(whole)) return 2;
    return words.every((word) => place.text.toLowerCase().includes(word)) ? 1 : 0;
  }

  function snippet(text, words) {
    const low = text.toLowerCase();
    const at = Math.max(0, Math.min(...words.map((word) => low.indexOf(word)).filter((i) => i >= 0)) || 0);
    const from = at === Infinity || at < AROUND ? 0 : at - AROUND;
    const shown = (from ? "… " : "") + text.slice(from, from + 2.5 * AROUND) + (text.length > from + 2.5 * AROUND ? " …" : "");
    const line = document.createElement("span");
    const parts = shown.split(new RegExp("(" + words.map((w) => w.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")).join("|") + ")", "i"));
    for (const part of parts) {
      const each = words.includes(part.toLowerCase()) ? document.createElement("mark") : document.createElement("span");
      each.textContent = part;
      line.append(each);
    }
    return line;
  }

  function go(place) {
    for (let inner = place.node; inner; inner = inner.parentElement) if (inner.tagName === "DETAILS") inner.open = true;
    document.querySelector(".at")?.classList.remove("at");
    place.node.classList.add("at");
    place.node.tabIndex = -1;
    place.node.focus({ preventScroll: true });
    place.node.scrollIntoView({ block: "start" });
  }

  function search() {
    places ??= gathered();
    const whole = wanted.value.toLowerCase().replace(/[[\]]/g, "").replace(/\s+/g, " ").trim();
    const words = whole.split(" ").filter(Boolean);
    list.replaceChildren();
    count.textContent = "";
    if (!words.length) return;
    const found = places
      .filter((place) => words.every((word) => place.low.includes(word)))
      .map((place) => [worth(place, words, whole), place])
      .filter(([value]) => value > 0);
    found.sort((one, other) => other[0] - one[0]);
    if (!found.length) {
      count.textContent = `Nothing found for “${wanted.value.trim()}”. Try fewer words, or part of one.`;
      return;
    }
    count.textContent = found.length === 1 ? "1 place" : `${found.length} places` + (found.length > MOST ? `, the first ${MOST} shown: add a word` : "");
    for (const [, place] of found.slice(0, MOST)) {
      const row = document.createElement("li"), button = document.createElement("button"), where = document.createElement("small");
      button.type = "button";
      where.textContent = place.where;
      button.append(snippet(place.text, words), where);
      button.addEventListener("click", () => go(place));
      row.append(button);
      list.append(row);
    }
  }

  function step(by) {
    const buttons = [...list.querySelectorAll("button")];
    const next = buttons.indexOf(document.activeElement) + by;
    (next < 0 ? wanted : buttons[Math.min(next, buttons.length - 1)])?.focus();
  }

  wanted.addEventListener("input", search);
  wanted.addEventListener("keydown", (event) => {
    if (event.key === "Enter") list.querySelector("button")?.click();
  });
  box.addEventListener("keydown", (event) => {
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      step(event.key === "ArrowDown" ? 1 : -1);
      event.preventDefault();
    } else if (event.key === "Escape") {
      wanted.value = "";
      search();
      wanted.focus();
    }
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "/" && !event.ctrlKey && !event.metaKey && !event.altKey && document.activeElement !== wanted) {
      wanted.focus();
      event.preventDefault();
    }
  });
  box.hidden = false;
  if (matchMedia("(max-width: 62rem)").matches) document.querySelector("nav details").open = false;
}
