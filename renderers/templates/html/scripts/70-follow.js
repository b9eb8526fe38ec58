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
const goal = ({ sheet, wire }) => sheets[sheet] + (anchorOf(wire) ? `/${anchorOf(wire)}` : "");

const circuitsOf = (view) => [...new Set(
  all("g.wire[data-circuit]", view).map((wire) => wire.dataset.circuit),
)].sort(natural);

const beside = (view) => {
  if (view.querySelector(".beside")) return;
  const buttons = circuitsOf(view).map((circuit) => {
    const button = make("button", { type: "button", textContent: circuit, title: entryOf("circuit", circuit)?.[0] ?? "" });
    button.addEventListener("click", () => {
      pack.light({ kind: "circuit", id: circuit });
      tell("chosen", button);
    });
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

// What an address asks for is brought into view: the point, the arrow one came through, the wire, or what is lit.
const find = (view, from, within, points) => {
  if (points.length) return points[0];
  const wire = $(within)?.dataset.wire;
  const twin = wire && arrowsOf(view).find((one) => one.wire === wire && from && sheets[one.sheet] === from.id);
  return twin?.arrow ?? (wire && view.querySelector(`svg .wire[data-wire=${quoted(wire)}]`))
    ?? view.querySelector(pack.lit()?.kind === "item" ? "svg [data-item].lit, svg .terminal.lit" : "svg .wire.lit");
};
// A point by its name, `C40.7`: of a connector both halves.
let points = [];
const unmark = () => points.forEach((point) => point.classList.remove("point"));
on("clear", unmark);
on("arrive", (view, target, within, from, focus, point) => {
  unmark();
  points = point ? all(`.sheet .terminal[data-terminal=${quoted(point)}]`, view) : [];
  points.forEach((one) => one.classList.add("point"));
  if (!view.matches(".page") || !view.querySelector(".sheet svg")) return;
  beside(view);
  const thing = within && find(view, from, within, points);
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

// A sheet named in a row opens with the row's thing lit and in view, and the point marked that is tested there.
pack.within = ({ dataset: { wire, item, subject, circuit = "", at } }) => {
  const thing = wire ? anchorOf(wire) : (entryOf("item", item ?? subject) ?? entryOf("circuit", circuit))?.[3];
  return thing ? `/${thing}${at ? `/${encodeURIComponent(at)}` : ""}` : "";
};
$("main").addEventListener("click", (event) => {
  const goal = event.target.closest('tr a[href^="#sheet-"]');
  const within = goal && pack.within(goal.closest("tr"));
  if (!within || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  pack.go(`${goal.hash.slice(1)}${within}`);
});

// The circuits of the open sheet, one after the other.
pack.lightNext = () => {
  const circuits = circuitsOf(pack.view());
  const now = pack.lit()?.kind === "circuit" ? circuits.indexOf(pack.lit().id) : -1;
  if (circuits.length) pack.light({ kind: "circuit", id: circuits[(now + 1) % circuits.length] });
};
