// The search box: what fits is listed while one types, the likeliest first.
const box = $("search");
const list = $("found");
const MOST = 40;
let at = -1;
let before = null;

const choose = (index) => {
  const rows = all("[role=option]", list);
  at = rows.length ? (index + rows.length) % rows.length : -1;
  rows.forEach((row, place) => row.setAttribute("aria-selected", String(place === at)));
  if (at < 0) return box.removeAttribute("aria-activedescendant");
  rows[at].scrollIntoView({ block: "nearest" });
  box.setAttribute("aria-activedescendant", rows[at].id);
};
const close = () => {
  list.hidden = true;
  list.replaceChildren();
  at = -1;
  $("count").textContent = "";
  box.setAttribute("aria-expanded", "false");
  box.removeAttribute("aria-activedescendant");
};
const counted = (found, note) => {
  const count = found > MOST ? `The first ${MOST} of ${found} found` : `${found || "Nothing"} found`;
  return note ? `${note[0].toUpperCase()}${note.slice(1)}. ${count}` : count;
};
const search = () => {
  const answer = pack.search(box.value, MOST);
  if (!answer) return close();
  const { count, hits, note } = answer;
  list.replaceChildren(...hits.map((one, place) => {
    const row = make("li", { id: `found-${place}`, role: "option" },
      make("strong", { textContent: one.id }), one.term && ` ${one.term}`,
      make("small", {}, make("span", { textContent: one.what }), one.where && ` · ${one.where}`, one.why && ` · ${one.why}`));
    row.dataset.to = one.anchor;
    return row;
  }));
  $("count").textContent = counted(count, note);
  list.hidden = !hits.length;
  box.setAttribute("aria-expanded", String(hits.length > 0));
  choose(0);
};
const follow = (row) => {
  if (!row) return;
  close();
  box.blur();
  pack.go(row.dataset.to);
};
box.addEventListener("input", search);
box.addEventListener("focus", (event) => {
  before = event.relatedTarget;
  search();
});
box.addEventListener("blur", close);
box.addEventListener("keydown", (event) => {
  if (event.key === "ArrowDown" || event.key === "ArrowUp") {
    event.preventDefault();
    choose(at + (event.key === "ArrowDown" ? 1 : -1));
  } else if (event.key === "Enter") follow(list.children[at]);
  else if (event.key === "Escape") {
    // What is lit stays: a second stroke puts it out.
    event.stopPropagation();
    box.value = "";
    (before?.checkVisibility() ? before : $("main")).focus({ preventScroll: true });
  }
});
list.addEventListener("mousedown", (event) => event.preventDefault());
list.addEventListener("click", (event) => follow(event.target.closest("li")));
key(["/"], "search", () => { box.focus({ preventScroll: true }); box.select(); });
