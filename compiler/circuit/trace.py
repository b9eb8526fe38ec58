"""Following a circuit with a finger: from one place to another, or to everything at one potential.

`trace` gives typed rows; whoever shows them lays them out.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from compiler.circuit.graph import Graph, structure_point
from compiler.circuit.names import find
from compiler.circuit.potentials import JOINED
from compiler.model.items import Behaviour, Device, Part, Point, Wire
from compiler.model.variant import Variant
from compiler.standards.sizes import Size

_STRUCTURE = structure_point("").item
_WIRE_COST = 1_000
# A bolt counts as a wire. A resistor, and more so a load, is passed only where there is no other way.
_COST: Mapping[Behaviour, int] = {
    Behaviour.WIRE: _WIRE_COST,
    Behaviour.CAVITY: 1,
    Behaviour.JOIN: 1,
    Behaviour.CONTACT: 1,
    Behaviour.PROTECTION: 1,
    Behaviour.DIODE: 1,
    Behaviour.DRIVER: 1,
    Behaviour.STRUCTURE: _WIRE_COST,
    Behaviour.RESISTOR: 10**9,
    Behaviour.LOAD: 10**12,
    Behaviour.COIL: 10**12,
}


class What(Enum):
    """What a step passes: a wire, the contact of a cavity, a device inside, a joint (bus, trace), bolted metal."""

    WIRE = "wire"
    CAVITY = "cavity"
    INSIDE = "inside"
    JOINT = "joint"
    METAL = "metal"


_WHAT = {
    Behaviour.WIRE: What.WIRE,
    Behaviour.CAVITY: What.CAVITY,
    Behaviour.JOIN: What.JOINT,
    Behaviour.STRUCTURE: What.METAL,
}


@dataclass(frozen=True, slots=True)
class Stop:
    """A place on the way.

    name        `C40.7`, `K7.87`, `SP101`, `structure body`
    side        which half of a connector: `body side`, `harness side`; empty for everything else
    title       the item's title
    place       where it is, in words; empty when the sources do not say
    access_min  minutes of dismantling to reach it; None when not said
    sheets      numbers of the sheets on which the item stands
    """

    point: Point
    name: str
    side: str
    title: str
    place: str
    access_min: float | None
    sheets: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """From one place to the next.

    depth    0 on a path; in a tree 1 for what starts at the root
    wire     the wire, for a step over one
    part     the part inside a device, for a step through one; `device` its device
    says     what is passed, in words: `fuse, 25 A`, `contact, closed when on`; empty for wires and cavities
    sheets   sheets on which the wire's circuit or the device stands
    again    in a tree: the step leads back to a place that stands there already
    ends     in a tree: what stands behind the place it leads to, where the tree stops (`lamp, 5 W, to E3.2`)
    """

    what: What
    start: Stop
    end: Stop
    depth: int = 0
    wire: Wire | None = None
    device: Device | None = None
    part: Part | None = None
    says: str = ""
    sheets: tuple[str, ...] = ()
    again: bool = False
    ends: tuple[str, ...] = ()

    @property
    def circuit(self) -> str:
        return self.wire.circuit if self.wire else ""

    @property
    def segment(self) -> str:
        return self.wire.segment if self.wire else ""

    @property
    def colour(self) -> str | None:
        """The wire's colour code; None where it is not known, and for what is no wire."""
        return self.wire.colour if self.wire else None

    @property
    def size(self) -> Size | None:
        return self.wire.size if self.wire else None

    @property
    def length_m(self) -> float | None:
        return self.wire.length_m if self.wire else None

    @property
    def harness(self) -> str:
        return self.wire.harness if self.wire else ""


@dataclass(frozen=True, slots=True)
class Leg:
    """A path, or the tree of one potential: the place it starts at, what stands behind that, and the steps in reading
    order."""

    start: Stop
    ends: tuple[str, ...]
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Trace:
    """The answer. `start` and `end` are the two places in words (`end` None when only one was asked for).

    With an end: one leg, or none where nothing joins the two. Without: a leg for each potential of the start.
    """

    start: str
    end: str | None
    legs: tuple[Leg, ...]

    @property
    def wires(self) -> tuple[Wire, ...]:
        """The wires passed, each once, in order."""
        return tuple(dict.fromkeys(step.wire for leg in self.legs for step in leg.steps if step.wire))

    @property
    def length_m(self) -> float | None:
        """The length of all wires passed, to the millimetre; None when one of them is not known."""
        lengths = [wire.length_m for wire in self.wires]
        known = [length for length in lengths if length is not None]
        return round(sum(known), 3) if len(known) == len(lengths) else None

    @property
    def loads(self) -> tuple[str, ...]:
        """Ids of the devices whose loads, coils or resistors a path passes: the two places are not one circuit."""
        passed = (
            step.device.id
            for leg in self.legs
            for step in leg.steps
            if step.part is not None and step.device is not None and _works(step.part)
        )
        return tuple(dict.fromkeys(passed))


def trace(variant: Variant, graph: Graph, start: str, end: str | None = None) -> Trace:
    """The way between two places, or everything joined to one.

    With an end: over the fewest wires (a bolt to metal counts as one), contacts taken as closed and diodes as passing
    either way; through a load only where there is no other way. Without an end: all that is at one potential with the
    start, up to loads, contacts, fuses and metal. The same question always has the same answer. Names as in
    `compiler.circuit.names.find`, whose UnknownPlaceError is raised for one that stands for nothing.
    """
    tracer = _Tracer(variant, graph)
    from_ = find(graph, start)
    if end is None:
        return Trace(from_.words, None, tuple(tracer.trees(from_.nodes)))
    to = find(graph, end)
    path = tracer.path(from_.nodes, to.nodes)
    return Trace(from_.words, to.words, () if path is None else (path,))


class _Tracer:
    def __init__(self, variant: Variant, graph: Graph) -> None:
        self.variant = variant
        self.graph = graph
        self._stops: dict[int, Stop] = {}

    # -- a path ---------------------------------------------------------------------------------------------------
    def path(self, starts: tuple[int, ...], goals: tuple[int, ...]) -> Leg | None:
        """The cheapest way from any start to any goal; of equal ones that over the lowest numbers."""
        graph, goal = self.graph, set(goals)
        best: dict[int, tuple[int, int]] = dict.fromkeys(starts, (0, -1))
        heap = [(0, start) for start in starts]
        heapq.heapify(heap)
        done: set[int] = set()
        while heap:
            cost, node = heapq.heappop(heap)
            if node in done:
                continue
            done.add(node)
            if node in goal:
                return self._leg(best, node)
            for edge in graph.around[node]:
                step = _COST.get(graph.behaviours[edge])
                other = graph.other(edge, node)
                if step is None or other in done:
                    continue
                if other not in best or (cost + step, edge) < best[other]:
                    best[other] = (cost + step, edge)
                    heapq.heappush(heap, (cost + step, other))
        return None

    def _leg(self, best: Mapping[int, tuple[int, int]], node: int) -> Leg:
        steps: list[Step] = []
        while (edge := best[node][1]) >= 0:
            before = self.graph.other(edge, node)
            steps.append(self._step(edge, before, node))
            node = before
        return Leg(self._stop(node), (), tuple(reversed(steps)))

    # -- a potential ----------------------------------------------------------------------------------------------
    def trees(self, starts: tuple[int, ...]) -> list[Leg]:
        """The tree of each potential that the starts belong to, depth first, in the order of the source."""
        graph = self.graph
        legs = []
        seen: set[int] = set()
        passed: set[int] = set()
        for root in starts:
            if root in seen:
                continue
            seen.add(root)
            steps: list[Step] = []
            waiting = [(edge, root, 1) for edge in reversed(graph.around[root])]
            while waiting:
                edge, node, depth = waiting.pop()
                if edge in passed or graph.behaviours[edge] not in JOINED:
                    continue
                passed.add(edge)
                other = graph.other(edge, node)
                again = other in seen
                steps.append(self._step(edge, node, other, depth=depth, again=again))
                if not again:
                    seen.add(other)
                    waiting += [(further, other, depth + 1) for further in reversed(graph.around[other])]
            legs.append(Leg(self._stop(root), self._ends(root), tuple(steps)))
        return legs

    def _ends(self, node: int) -> tuple[str, ...]:
        """What stands at a node and stops a tree, in words."""
        graph, found = self.graph, []
        for edge in graph.around[node]:
            behaviour = graph.behaviours[edge]
            if behaviour in JOINED:
                continue
            other = graph.points[graph.other(edge, node)]
            if behaviour is Behaviour.STRUCTURE:
                found.append(f"bolted to {other}")
            else:
                part = graph.owners[edge]
                assert isinstance(part, Part)
                found.append(f"{_part_words(self.variant, part)}, to {other}")
        return tuple(found)

    # -- rows -----------------------------------------------------------------------------------------------------
    def _step(self, edge: int, a: int, b: int, *, depth: int = 0, again: bool = False) -> Step:
        graph, variant = self.graph, self.variant
        what = _WHAT.get(graph.behaviours[edge], What.INSIDE)
        owner = graph.owners[edge]
        wire = owner if isinstance(owner, Wire) else None
        part = owner if isinstance(owner, Part) else None
        device = variant.devices.get(graph.inside[edge])
        if wire is not None:
            sheets = variant.sheets_of_circuit(wire.circuit)
        else:
            sheets = variant.sheets_of_item(device.id) if device is not None else ()
        return Step(
            what=what,
            start=self._stop(a),
            end=self._stop(b),
            depth=depth,
            wire=wire,
            device=device,
            part=part,
            says=_part_words(variant, part) if part is not None else "",
            sheets=sheets,
            again=again,
            ends=self._ends(b) if depth and not again else (),
        )

    def _stop(self, node: int) -> Stop:
        found = self._stops.get(node)
        if found is None:
            found = self._stops[node] = self._described(self.graph.points[node])
        return found

    def _described(self, point: Point) -> Stop:
        variant = self.variant
        if point.item.startswith(_STRUCTURE):
            structure = variant.structures.get(point.item.removeprefix(_STRUCTURE))
            return Stop(point, point.item, "", structure.title if structure else "", "", None, ())
        item = variant.items[point.item]
        connector = variant.connectors.get(point.item)
        # A component's connector is where the component is, and that where its fuse block is, unless it says otherwise.
        home = item
        if home.place is None and connector is not None:
            home = variant.devices.get(connector.device, home)
        access = home.place.access_min if home.place is not None else None
        return Stop(
            point=point,
            name=str(point),
            side=connector.half_name(point.half) if connector is not None else "",
            title=item.title or (home.title if home is not item else ""),
            place=variant.place_of(home),
            access_min=access,
            sheets=variant.sheets_of_item(point.item),
        )


def _works(part: Part) -> bool:
    return any(s.behaviour in (Behaviour.LOAD, Behaviour.COIL, Behaviour.RESISTOR) for s in part.stretches)


def _part_words(variant: Variant, part: Part) -> str:
    """`fuse, 25 A`; `contact, closed when low high`; `lamp "tell-tale", 1.2 W`; `pin, high-side`."""
    kind = variant.kinds.get(part.kind)
    words = [(kind.title if kind else part.kind) + (f' "{part.title}"' if part.title else "")]
    if part.role:
        words.append(part.role)
    if part.when:
        words.append(f"closed when {' '.join(part.when)}")
    for name, unit in (("power", "W"), ("current", "A"), ("resistance", "ohm")):
        if name in part.ratings:
            words.append(f"{part.ratings[name]:g} {unit}")
            break
    return ", ".join(words)
