// The papers: made on request; how far that is, and what there is then.
$("#make").addEventListener("click", async () => {
  const { refused } = await ask("make");
  if (refused) tell(refused);
});

function papersNow({ share, words, names, fault }) {
  $("#papers").hidden = false;
  const done = share >= 1;
  $("#papers progress").value = share;
  $("#papers progress").hidden = done;
  $("#papers-words").textContent = fault ? `The papers could not be made. ${fault}` : done ? `The papers are in ${words}:` : `Making the papers: ${words} …`;
  const list = $("#papers-names");
  list.textContent = "";
  if (!done || fault) return;
  for (const name of names.filter((each) => !each.includes("/"))) {
    list.append(made("a", name, { href: "papers/" + encodeURIComponent(name), target: "_blank", rel: "noopener" }), " ");
  }
  const rooms = new Map();
  for (const name of names.filter((each) => each.includes("/"))) rooms.set(name.split("/")[0], (rooms.get(name.split("/")[0]) || 0) + 1);
  if (rooms.size) list.append(made("span", "and " + [...rooms].map(([room, count]) => `${count} in ${room}/`).join(", ")));
}
