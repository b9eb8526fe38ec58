// Search: names, ids, circuits, wires and cavities, the likeliest first.
const fold = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
const bare = (text) => text.replace(/[^\p{L}\p{N}]/gu, "");
const box = $("search");
const list = $("found");
const MOST = 40;
let pool = null;
let at = -1;

// Wires, cavities and fault charts are read from the page: it holds each fact once.
const found = (id, term, what, anchor, where) => ({
  id, term, what, anchor, where,
  own: fold(id), bare: bare(fold(id)), name: fold(term), words: fold(`${id} ${term} ${what} ${where}`),
});
const build = () => [
  ...entries.map(([term, id, what, anchor, on]) => {
    const where = on.length && what !== "wiring sheet" ? `${on.length > 1 ? "sheets" : "sheet"} ${on.join(", ")}` : "";
    return found(id, term === id ? "" : term, what, anchor || sheets[on[0]], where);
  }),
  ...all("#table-wires tr[data-wire]").map((row) => {
    const [from, to, size, colour] = ["from", "to", "size", "colour"].map((name) => textOf(row, name));
    return found(row.dataset.wire, `${from} to ${to}`, "wire", row.id, `${colour} ${size}`);
  }),
  ...all('tr[id^="cavity-"]').map((row) => {
    const id = `${row.closest(".group").dataset.item}.${row.cells[0].textContent}`;
    const wires = all('a[href^="#wire-"]', row).map((wire) => wire.textContent);
    return found(id, "", "cavity", row.id, wires.length ? `wire ${[...new Set(wires)].join(", ")}` : row.cells[1].textContent);
  }),
  ...all("#section-isolation > .group").map((chart) => (
    found(chart.querySelector("h3").textContent, "", "fault chart", chart.id, "")
  )),
];

const LATER = { wire: 1, cavity: 2, "fault chart": 3 };
const rank = (one, query) => {
  const later = LATER[one.what] ?? 0;
  if (one.own === query) return later ? 1 : 0;
  if (one.bare === bare(query)) return 2;
  if (one.own.startsWith(query)) return 3 + later / 10;
  // A component before its connector, which goes by the same name; wires and cavities after what they join.
  if (later) return 7 + later;
  if (one.name.startsWith(query)) return one.what.startsWith("connector of") ? 4.5 : 4;
  return one.name.includes(` ${query}`) ? 5 : 6;
};

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
const search = () => {
  const query = fold(box.value.trim());
  if (!query) return close();
  pool ??= build();
  const words = query.split(/\s+/);
  const hits = pool.filter((one) => one.bare === bare(query) || words.every((word) => one.words.includes(word)));
  const ranks = new Map(hits.map((one) => [one, rank(one, query)]));
  hits.sort((a, b) => ranks.get(a) - ranks.get(b) || a.name.length - b.name.length || natural(a.id, b.id));
  list.replaceChildren(...hits.slice(0, MOST).map((one, place) => {
    const row = make("li", { id: `found-${place}`, role: "option" },
      make("strong", { textContent: one.id }), one.term && ` ${one.term}`,
      make("small", {}, make("span", { textContent: one.what }), one.where && ` · ${one.where}`));
    row.dataset.to = one.anchor;
    return row;
  }));
  const count = hits.length > MOST ? `The first ${MOST} of ${hits.length} found` : `${hits.length || "Nothing"} found`;
  $("count").textContent = count;
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
box.addEventListener("focus", search);
box.addEventListener("blur", close);
box.addEventListener("keydown", (event) => {
  if (event.key === "ArrowDown" || event.key === "ArrowUp") {
    event.preventDefault();
    choose(at + (event.key === "ArrowDown" ? 1 : -1));
  } else if (event.key === "Enter") follow(list.children[at]);
});
list.addEventListener("mousedown", (event) => event.preventDefault());
list.addEventListener("click", (event) => follow(event.target.closest("li")));
on("clear", () => { close(); box.blur(); });
key(["/"], "search", () => { box.focus(); box.select(); });
