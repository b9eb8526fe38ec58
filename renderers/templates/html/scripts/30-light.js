// Light: a circuit, or a component with all that is drawn of it, on every sheet and in every chart at once.
// A subject is { kind: "circuit" or "item", id, wire, terminal }.
let lit = [];
let subject = null;

// Every element by the circuits, the item and the plug it stands for; looked up once, for there are a hundred thousand
// others.
let known = null;
const gather = () => {
  const [circuit, item, plug] = [new Map(), new Map(), new Map()];
  const enter = (map, id, element) => { if (map.has(id)) map.get(id).push(element); else map.set(id, [element]); };
  for (const element of all("main [data-circuit], main svg [data-circuits]")) {
    const { circuit: own = "", circuits = "" } = element.dataset;
    for (const id of new Set(`${own} ${circuits}`.split(" "))) enter(circuit, id, element);
  }
  for (const element of all("main svg [data-item], main tr[data-item]")) enter(item, element.dataset.item, element);
  for (const element of all("main .sheet .terminal[data-terminal]")) enter(plug, element.dataset.terminal.split(".")[0], element);
  return { circuit, item, plug };
};
// What no sheet draws as a thing of its own: a component's plug by its terminals, where it has none by the component; a
// fuse block by its buses and what sits in it.
const onSheets = (id) => (known.item.get(id) ?? []).filter((one) => one.matches(".sheet [data-item]"));
const partsOf = (id) => {
  const terminals = known.plug.get(id) ?? [];
  const there = new Set(terminals.map((terminal) => terminal.closest(".sheet")));
  const owner = /^connector of (.+)/.exec(entryOf("item", id)?.[2])?.[1];
  const inside = [
    ...all(`#table-buses tr[data-item]:has(a[href="#${entryOf("item", id)?.[3]}"])`),
    ...all(`.group[data-item=${quoted(id)}] tr[id^="item-"]`),
  ].flatMap((row) => onSheets(row.dataset.item));
  return [...terminals, ...onSheets(owner).filter((one) => !there.has(one.closest(".sheet"))), ...inside];
};
const standFor = ({ kind, id }) => {
  known ??= gather();
  const own = known[kind].get(id) ?? [];
  return kind === "circuit" || onSheets(id).length ? own : [...own, ...partsOf(id)];
};
on("start", () => (window.requestIdleCallback ?? setTimeout)(() => { known ??= gather(); }));

// Whether what is lit is drawn in a view: a wire of the circuit, or the component. Whether anything of it is shown there.
const drawn = { circuit: "svg .wire", item: "svg [data-item], svg .terminal" };
let views = new Set();
pack.draws = (view) => views.has(view);
pack.shows = (view) => {
  const home = subject && $(entryOf(subject.kind, subject.id)?.[3]);
  return [home, ...lit].some((one) => one?.closest(".page, .part") === view);
};
pack.lit = () => subject;
pack.light = (wanted) => {
  lit.forEach((element) => element.classList.remove("lit"));
  lit = wanted ? standFor(wanted) : [];
  subject = lit.length ? wanted : null;
  views = new Set(subject && lit.filter((one) => one.matches(drawn[subject.kind])).flatMap((one) => (
    [one.closest(".page"), one.closest(".part")])));
  lit.forEach((element) => element.classList.add("lit"));
  dim();
  tell("lit", subject);
};
// Round a lit circuit its sheet is dimmed, but no sheet on which nothing is lit; round a component nothing is.
const dim = () => root.classList.toggle("lighting", subject?.kind === "circuit" && pack.draws(pack.view()));

// What an element stands for: a wire, a terminal, a row, or a component. A row of several circuits gives the next one
// at each choice.
pack.subjectOf = (element) => {
  const wired = element.closest("[data-circuit]");
  const item = element.closest("svg [data-item]");
  if (wired && !(item && wired.contains(item))) {
    const { wire = "", terminal = "" } = wired.dataset;
    const circuits = wired.dataset.circuit.split(" ");
    const now = subject?.kind === "circuit" ? circuits.indexOf(subject.id) : -1;
    const again = !wire || wire === subject?.wire;
    return { kind: "circuit", id: circuits[again ? (now + 1) % circuits.length : 0], wire, terminal };
  }
  const row = item ?? element.closest("tr[data-item]");
  return row && { kind: "item", id: row.dataset.item };
};

// A wire is thin: on a sheet, what lies within reach of the pointer counts, more of it under a finger.
const DRAWN = "svg .wire, svg .terminal, svg .label, svg .arrow";
pack.under = ({ target, clientX, clientY, pointerType }) => {
  if (!target.closest(".sheet .paper") || target.closest(DRAWN)) return target;
  for (const reach of pointerType === "touch" ? [4, 8, 12] : [2, 5]) {
    for (let turn = 0; turn < 8; turn += 1) {
      const [x, y] = [Math.cos, Math.sin].map((along) => reach * along(turn * Math.PI / 4));
      const found = document.elementFromPoint(clientX + x, clientY + y)?.closest(DRAWN);
      if (found) return found;
    }
  }
  return target;
};

// The subject of an anchor, as in an address: `wire-48B`, `circuit-48`, `item-K7`, `cavity-C40_2e_7`.
pack.subjectAt = (anchor) => {
  const element = anchor && $(anchor);
  const entry = entryAt.get(anchor);
  if (entry) {
    if (entry[2] === "circuit") return { kind: "circuit", id: entry[1] };
    return NOT_ITEMS.has(entry[2]) ? null : { kind: "item", id: entry[1] };
  }
  if (!element?.matches("tr[data-circuit]")) return null;
  const circuits = element.dataset.circuit.split(" ");
  return { kind: "circuit", id: circuits[0], wire: element.dataset.wire ?? "" };
};

on("arrive", (view, target, within) => {
  const wanted = pack.subjectAt(within || target.id);
  if (wanted) pack.light(wanted);
  else dim();
});
on("clear", () => pack.light(null));

$("main").addEventListener("click", (event) => {
  if (event.target.closest("a, button") || String(getSelection())) return;
  const element = pack.under(event);
  const wanted = !element.closest("svg .arrow") && pack.subjectOf(element);
  if (!wanted) return;
  pack.light(wanted);
  tell("chosen", element.closest("tr") ?? element, event.clientY);
});
key(["L"], "light the circuit of the row you are on, or the next one of an open sheet", () => {
  const row = document.activeElement.closest("tr");
  const wanted = row && pack.subjectOf(row);
  if (!wanted) return pack.lightNext?.();
  pack.light(wanted);
  tell("chosen", row);
});
