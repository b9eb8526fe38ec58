// From sheet to sheet: an arrow leads to its twin; below each sheet stand its circuits and where its wires go on.
const arrowsOf = (view) => all(".sheet svg .arrow[data-wire]", view).flatMap((arrow) => {
  const sheet = arrow.querySelector("text")?.textContent.replace(/^sheet /, "");
  return sheet in sheets ? [{ arrow, sheet, wire: arrow.dataset.wire }] : [];
});
// The anchor of a wire is that of its row in the wire list.
let anchors = null;
const anchorOf = (wire) => {
  anchors ??= new Map(all("#table-wires tr[data-wire]").map((row) => [row.dataset.wire, row.id]));
  return anchors.get(wire);
};
const goal = ({ sheet, wire }) => `${sheets[sheet]}/${anchorOf(wire)}`;

const circuitsOf = (view) => [...new Set(
  all("g.wire[data-circuit]", view).map((wire) => wire.dataset.circuit),
)].sort(natural);

const beside = (view) => {
  if (view.querySelector(".beside")) return;
  const buttons = circuitsOf(view).map((circuit) => {
    const button = make("button", { type: "button", textContent: circuit, title: entryOf("circuit", circuit)?.[0] ?? "" });
    button.addEventListener("click", () => pack.light({ kind: "circuit", id: circuit }));
    return button;
  });
  const ways = arrowsOf(view).map((one) => {
    const made = link(goal(one), `sheet ${one.sheet}`);
    return make("li", {}, `${one.wire} to `, made);
  });
  const box = make("div", { className: "beside" });
  if (buttons.length) box.append(make("h4", { textContent: "Circuits on this sheet" }), make("p", {}, ...buttons));
  if (ways.length) box.append(make("h4", { textContent: "Wires that go on" }), make("ul", {}, ...ways));
  view.querySelector(".sheet").after(box);
};

// What an address asks for is brought into view: the arrow one came through, else the wire, else what is lit.
const find = (view, from, within) => {
  const wire = $(within)?.dataset.wire;
  const twin = wire && arrowsOf(view).find((one) => one.wire === wire && from && sheets[one.sheet] === from.id);
  return twin?.arrow ?? (wire && view.querySelector(`svg .wire[data-wire=${quoted(wire)}]`))
    ?? view.querySelector(pack.lit()?.kind === "item" ? "svg [data-item].lit" : "svg .wire.lit");
};
on("arrive", (view, target, within, from) => {
  if (!view.matches(".page") || !view.querySelector(".sheet svg")) return;
  beside(view);
  const thing = within && find(view, from, within);
  if (!thing) return;
  const paper = thing.closest(".paper");
  const [spot, room] = [thing.getBoundingClientRect(), paper.getBoundingClientRect()];
  paper.scrollBy(spot.x + spot.width / 2 - room.x - room.width / 2, spot.y + spot.height / 2 - room.y - room.height / 2);
  thing.classList.add("found");
  setTimeout(() => thing.classList.remove("found"), 2500);
});
$("main").addEventListener("click", (event) => {
  const arrow = pack.under(event).closest("svg .arrow");
  const one = arrow && arrowsOf(pack.view()).find((other) => other.arrow === arrow);
  if (one) pack.go(goal(one));
});

// The circuits of the open sheet, one after the other.
pack.lightNext = () => {
  const circuits = circuitsOf(pack.view());
  const now = pack.lit()?.kind === "circuit" ? circuits.indexOf(pack.lit().id) : -1;
  if (circuits.length) pack.light({ kind: "circuit", id: circuits[(now + 1) % circuits.length] });
};
