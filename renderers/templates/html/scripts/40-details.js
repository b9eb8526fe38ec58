// Details: what the pack says of the lit thing, read from its own charts, with links to follow.
const panel = $("details");
const said = $("said");
const copied = (cell) => [...cell.childNodes].map((node) => node.cloneNode(true));

let named = null;
const colourWords = (code) => {
  named ??= new Map(all("#table-colours-used tbody tr").map((row) => [textOf(row, "code"), textOf(row, "name")]));
  return named.get(code) ?? "";
};
pack.colourWords = colourWords;

// What the pack does not say is left out.
const fact = (name, ...content) => (content.join("") ? [
  make("div", {}, make("dt", { textContent: name }), make("dd", {}, ...content))] : []);
const parted = (groups) => groups.flatMap((group, index) => (index ? [", ", group] : [group]));

const sheetLinks = (names, within) => parted([...names].map((name) => {
  const made = link(sheets[name] + within, name);
  if (pack.view().id === sheets[name]) made.setAttribute("aria-current", "page");
  return made;
}));

// The sheets on which the lit thing is drawn: its own sheets first, then those that show it in passing.
const nameAt = new Map(Object.entries(sheets).map(([name, anchor]) => [anchor, name]));
const drawnOn = ({ kind, id }) => {
  const drawn = all(".page").filter((page) => nameAt.has(page.id) && pack.draws(page)).map((page) => nameAt.get(page.id));
  const own = (entryOf(kind, id)?.[4] ?? []).filter((name) => name in sheets);
  // The plug of a component is drawn as part of it.
  if (!drawn.length) return own;
  return [...new Set([...own.filter((name) => drawn.includes(name)), ...drawn])];
};

let unfolded = innerWidth > 640 && innerHeight > 560;
const wireTable = (rows, chosen) => {
  const body = make("tbody", {}, ...rows.map((row) => {
    const colour = cellOf(row, "colour");
    const words = colourWords(colour.textContent);
    const made = make("tr", { className: row.dataset.wire === chosen ? "chosen" : "" },
      make("th", { scope: "row" }, link(row.id, row.dataset.wire)),
      make("td", {}, ...copied(cellOf(row, "from"))),
      make("td", {}, ...copied(cellOf(row, "to"))),
      make("td", { className: "size", textContent: textOf(row, "size") }),
      make("td", {}, ...copied(colour), words && make("span", { className: "m", textContent: ` ${words}` })));
    if (row.dataset.wire === chosen) made.setAttribute("aria-current", "true");
    return made;
  }));
  const head = ["Wire", "From", "To", "Size", "Colour"].map((name) => make("th", { scope: "col", textContent: name }));
  const summary = make("summary", { textContent: `${rows.length} ${rows.length === 1 ? "wire" : "wires"}` });
  const table = make("table", {}, make("thead", {}, make("tr", {}, ...head)), body);
  return make("details", { open: unfolded }, summary, table);
};

const different = (texts) => [...new Set(texts.filter(Boolean))];

const fusesOf = (circuit) => different(
  all(`a[href="#${circuit}"]`, $("section-fuses") ?? panel).map((found) => found.closest("tr"))
    .filter((row) => row && cellOf(row, "rating")),
).map((row) => {
  const more = [textOf(row, "rating"), textOf(row, "type")].filter(Boolean).join(" ");
  return make("span", {}, link(row.id, textOf(row, "id")), ` ${more}`);
});

const ofCircuit = ({ id, wire, terminal }) => {
  const entry = entryOf("circuit", id);
  const rows = all(`#table-wires tr[data-circuit=${quoted(id)}]`);
  const colours = different(rows.map((row) => textOf(row, "colour")));
  const facts = [
    ...fact("Colour", colours.map((code) => [code, colourWords(code)].filter(Boolean).join(" ")).join("; ")),
    ...fact("Size", different(rows.map((row) => textOf(row, "size"))).join(", ")),
    ...fact("Fuse", ...parted(entry ? fusesOf(entry[3]) : [])),
  ];
  const chosen = rows.find((row) => row.dataset.wire === wire);
  const title = entry && entry[0] !== id ? ` ${entry[0]}` : "";
  const head = [link(entry?.[3] ?? "front", `Circuit ${id}`), title];
  const at = chosen ? `wire ${wire}` : terminal && `at ${terminal}`;
  return { head, at, facts, rows, chosen: wire, home: chosen?.id ?? entry?.[3] };
};

const LEFT_OUT = new Set(["id", "name", "kind", "sheets", "wires"]);
// The sheets stand in a line of their own.
const upToSheets = (nodes) => {
  const last = nodes.findIndex((node) => node.textContent.endsWith("Sheets: "));
  if (last < 0) return nodes;
  return [...nodes.slice(0, last), nodes[last].textContent.replace(/ ?Sheets: $/, "")];
};
const ofItem = ({ id }) => {
  const [term, , what, anchor] = entryOf("item", id) ?? [id, id, "", ""];
  const home = anchor ? $(anchor) : null;
  const facts = fact("What", (home?.matches("tr") && textOf(home, "kind")) || what);
  const anchors = [anchor];
  if (home?.matches("tr")) {
    for (const [index, head] of all("thead tr:last-child th", home.closest("table")).entries()) {
      const cell = home.cells[index];
      if (!LEFT_OUT.has(head.dataset.key) && cell.textContent) facts.push(...fact(head.textContent, ...copied(cell)));
    }
    const plugs = cellOf(home, "connectors");
    if (plugs) anchors.push(...all("a", plugs).map((plug) => plug.hash.slice(1)));
  } else if (home) {
    const words = home.querySelector(":scope > p");
    if (words) facts.push(...fact("Where", ...upToSheets(copied(words))));
  }
  // A cavity's anchor begins with its connector's: a wire end in any of its cavities leads there.
  const ends = anchors.filter(Boolean).flatMap((name) => [
    `#table-wires a[href="#${name}"]`, `#table-wires a[href^="#${name.replace(/^item-/, "cavity-")}_2e_"]`,
  ]);
  const rows = ends.length ? different(all(ends.join()).map((end) => end.closest("tr"))) : [];
  return { head: [link(anchor || "front", id), term === id ? "" : ` ${term}`], at: "", facts, rows, home: anchor };
};

// The panel's height is made room for by those whom it concerns alone: told to all, every row would be styled anew.
let top = innerHeight;
const room = () => {
  const before = top;
  top = panel.hidden ? innerHeight : panel.getBoundingClientRect().top;
  [root, $("main"), pack.paper()].forEach((one) => one?.style.setProperty("--panel", `${panel.offsetHeight}px`));
  return before;
};

// What was chosen stays in sight when the panel rises over it: a row whole, of a drawn thing the spot that was touched.
const MARGIN = 32;
let touched = null;
const keepInSight = (before) => {
  const spot = () => touched.element.getBoundingClientRect().top + touched.down;
  if (!touched?.element.checkVisibility() || spot() < 0 || spot() > before) return;
  if (touched.element.matches("tr")) return touched.element.scrollIntoView({ block: "nearest" });
  const paper = touched.element.closest(".paper");
  if (paper) paper.scrollTop += Math.max(0, spot() - paper.getBoundingClientRect().bottom + MARGIN);
  scrollBy(0, Math.max(0, spot() - top + MARGIN));
};
on("chosen", (element, y = element.getBoundingClientRect().bottom) => {
  touched = { element, down: y - element.getBoundingClientRect().top };
  keepInSight(innerHeight);
});

// One line is left of it where nothing of what is lit is shown, and in a window too low for more.
const LOW = 450;
const crowded = () => innerHeight < LOW || !pack.shows(pack.view());
let folded = false;
const folder = make("button", { type: "button", className: "folder" });
const fold = (wanted) => {
  folded = wanted;
  panel.classList.toggle("folded", folded);
  folder.textContent = folded ? "More" : "Less";
  folder.setAttribute("aria-expanded", String(!folded));
};
folder.addEventListener("click", () => {
  fold(!folded);
  keepInSight(room());
});
const put = (subject) => {
  panel.hidden = !subject;
  if (!subject) {
    if (panel.contains(document.activeElement)) $("main").focus({ preventScroll: true });
    panel.replaceChildren();
    said.textContent = "";
  } else {
    fold(crowded());
    const { head, at, facts, rows, chosen, home } = { circuit: ofCircuit, item: ofItem }[subject.kind](subject);
    const within = home ? `/${home}` : "";
    const names = drawnOn(subject);
    const off = make("button", { type: "button", textContent: "Put out" });
    off.addEventListener("click", () => tell("clear"));
    facts.push(...fact("Sheets", ...sheetLinks(names, within)));
    panel.replaceChildren(
      make("div", { className: "head" }, make("h2", {}, ...head), make("span", { className: "m", textContent: at }), folder, off),
      make("dl", {}, ...facts), ...(rows.length ? [wireTable(rows, chosen)] : []));
    const count = names.length ? `, on ${names.length} ${names.length === 1 ? "sheet" : "sheets"}` : "";
    said.textContent = `${head.map((part) => part.textContent ?? part).join("")} lit${count}`;
    pack.next = () => {
      const at = names.findIndex((name) => sheets[name] === pack.view().id);
      if (names.length) pack.go(sheets[names[(at + 1) % names.length]] + within);
    };
  }
  room();
};
on("lit", put);
on("arrive", (view, target) => {
  touched = null;
  put(pack.lit());
  // With the panel there, the middle is another.
  if (pack.lit() && target.matches("tr")) pack.bring(target);
});
addEventListener("resize", () => {
  fold(crowded());
  room();
});
panel.addEventListener("toggle", (event) => {
  unfolded = event.target.open;
  keepInSight(room());
}, true);

key(["F"], "follow what is lit to its next sheet", () => pack.lit() && pack.next());
key(["D"], "go to the details of what is lit", () => panel.querySelector("a")?.focus());
