// Fault charts gone through one test at a time: the answers as buttons, a way back, and what is left. The table that
// it is read from stays as it is, for paper and for those who like it better.
const SORTS = { yes: "It is so", again: "From the beginning", back: "Take back", leave: "Show the whole table" };
const button = (name, textContent, does) => {
  const made = make("button", { type: "button", className: name, textContent });
  made.addEventListener("click", does);
  return made;
};
const chartOf = (row) => row.closest("table").dataset.chart ?? row.closest(".group").querySelector("h3").textContent;
const HINT = "Keys: the number of an answer chooses it, Backspace takes it back.";
const counted = (count) => `${count} ${count === 1 ? "cause" : "causes"} left`;
const cellsOf = (row, ...places) => places.map((place) => [...row.cells[place].childNodes].map((n) => n.cloneNode(true)));

// A sheet is opened with the thing to be tested lit on it.
const placed = (row) => {
  const [where] = cellsOf(row, 2);
  where.filter((node) => node.hash?.startsWith("#sheet-")).forEach((node) => { node.hash += pack.within(row); });
  return where;
};
const answersOf = (row) => all(".answers li", row).map((item) => ({
  words: item.querySelector("span").textContent,
  to: item.querySelector("a")?.hash.slice(1) ?? "",
}));

const through = (table) => {
  const { start, chart, verify, again } = table.dataset;
  const box = make("div", { className: "through", hidden: true });
  box.setAttribute("role", "group");
  box.setAttribute("aria-label", `Step by step: ${chart}`);
  let way = [];  // { at, words }: the steps done, each with the answer given

  const now = () => way.at(-1)?.to ?? null;
  const go = (words, to) => { way.push({ words, to, from: now() }); draw(true); };
  const back = () => { way.pop(); draw(true); };
  const foot = () => make("p", { className: "ways" },
    ...(way.length ? [button("back", SORTS.back, back), button("again", SORTS.again, () => { way = []; draw(true); })] : []),
    button("leave", SORTS.leave, () => enter(false)));

  const beginning = () => [
    make("h4", { textContent: "Verify the complaint" }), make("p", { textContent: verify }),
    make("p", { className: "choices" }, button("answer", SORTS.yes, () => go("verified", start))),
    make("p", { className: "m", textContent: HINT }),
  ];
  const test = (row) => {
    const [what] = cellsOf(row, 1);
    const choices = answersOf(row).map(({ words, to }, index) => {
      const made = button("answer", words, () => go(words, to));
      made.dataset.number = index + 1;
      return made;
    });
    return [
      make("h4", { textContent: `Step ${row.cells[0].textContent}${chartOf(row) === chart ? "" : ` of “${chartOf(row)}”`}` }),
      make("p", { className: "what" }, ...what), make("p", { className: "m" }, ...placed(row)),
      make("p", { className: "choices" }, ...choices),
      make("p", { className: "left", textContent: counted(Number(row.dataset.left)) }),
    ];
  };
  const end = (row) => {
    const [fault, where, , repair] = cellsOf(row, 1, 2, 3, 4);
    return [
      make("h4", { textContent: "The cause" }), make("p", { className: "what" }, ...fault),
      make("p", { className: "m" }, ...where), make("p", {}, ...repair),
      make("p", {}, `Verify again: ${again}`), make("p", {}, link(row.id, "The cause in its table")),
    ];
  };
  const told = () => make("ol", { className: "told" }, ...way.slice(1).map(({ words, from }) => {
    const row = $(from);
    return make("li", {}, link(from, row.cells[1].textContent), ` ${words}`);
  }));

  const draw = (focus) => {
    const row = now() && $(now());
    const shown = !row ? beginning() : row.matches(".step") ? test(row) : end(row);
    box.replaceChildren(...shown, ...(way.length > 1 ? [told()] : []), foot());
    const head = box.firstElementChild;
    head.tabIndex = -1;
    if (!focus) return;
    head.focus({ preventScroll: true });
    box.scrollIntoView({ block: "nearest" });
    head.scrollIntoView({ block: "nearest" });
  };
  const wide = table.closest(".wide");
  const opener = button("enter", "Step by step", () => enter(true));
  const enter = (entered) => {
    box.hidden = !entered;
    opener.hidden = entered;
    wide.classList.toggle("aside", entered);
    if (entered) draw(true);
    else opener.focus();
  };
  box.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const chosen = box.querySelector(`.choices [data-number="${event.key}"]`);
    if (chosen) chosen.click();
    else if (event.key === "Backspace" && way.length) back();
    else return;
    event.preventDefault();
    event.stopPropagation();
  });
  wide.before(opener, box);
};
all("table.steps").forEach(through);
