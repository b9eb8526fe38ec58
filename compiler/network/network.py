"""The network of a variant: nodes joined by branches, each with what it does to current and whose it is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from copy import copy
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from compiler.circuit.graph import Graph, Owner, structure_point
from compiler.model.items import Behaviour, Connector, Ground, Part, Point, Wire
from compiler.model.variant import Variant
from compiler.network.always import Always, always
from compiler.network.elements import AT_REST, ENERGISED, OUTPUT_POSITIONS, OUTPUTS, Element, Sort
from compiler.network.world import World

if TYPE_CHECKING:
    from compiler.network.chains import Chains, Spans
    from compiler.network.columns import Columns
    from compiler.network.routes import Routes

CAVITY = Behaviour.CAVITY
_OUTSIDE = {Behaviour.WIRE, Behaviour.CAVITY, Behaviour.STRUCTURE}


class CannotSolve(ValueError):  # noqa: N818 - says what it is
    """What was asked of the network cannot be answered; the message is one line for a person. Its subclasses say
    why."""


class Branch(NamedTuple):
    """One branch. Current counts as positive from node `a` to node `b`.

    owner   the wire, connector, ground, device or part that it belongs to
    device  id of the device inside which it lies; empty for wires, cavities and grounds
    """

    a: int
    b: int
    element: Element
    owner: Owner
    device: str

    @property
    def role(self) -> Behaviour:
        return self.element.role


class Coil(NamedTuple):
    """A branch whose voltage holds its device in `energised`: a relay coil, a starter's solenoid, a module's supply."""

    device: str
    branch: int
    pull_in_v: float
    drop_out_v: float


class Network:
    """Branches by number: first those of the graph outside devices (wires first), then those inside, in source order.

    The first `len(graph.points)` nodes are those of the graph; points inside a device follow. `of` gives the
    potential of
    a node: nodes joined without any resistance (a fuse on its bus) are one.

    whole, spans  of a limited network: the network it was made of, and what is read at the nodes it lacks
    """

    def __init__(self, graph: Graph, world: World | None = None) -> None:
        self.graph = graph
        self.variant: Variant = graph.variant
        self.world = world or World(graph.variant.header.supply_v)
        self.branches: list[Branch] = []
        self.coils: list[Coil] = []
        self.conditional: list[int] = []
        self._joins: list[tuple[int, int]] = []
        self._inner: dict[tuple[str, str], int] = {}
        self._of_owner: dict[object, list[int]] = defaultdict(list)
        self._add_outside()
        self._add_devices()
        self.size = len(graph.points) + len(self._inner)
        self.of = self._merged()
        self.whole = self
        self.spans: Spans | None = None

    # -- building ------------------------------------------------------------------------------------------------
    def _add_outside(self) -> None:
        graph, world = self.graph, self.world
        cavity = Element(Sort.RESISTANCE, "", "", world.ohm("cavity"), role=Behaviour.CAVITY)
        ground = Element(Sort.RESISTANCE, "", "", world.ohm("ground"), role=Behaviour.STRUCTURE)
        least = world.ohm("least")
        for a, b, behaviour, owner, device in graph.edges:
            if behaviour is Behaviour.WIRE and isinstance(owner, Wire):
                ohm, assumed = world.wire_ohm(owner)
                element = Element(Sort.RESISTANCE, "", "", max(ohm, least), role=Behaviour.WIRE, assumed=assumed)
                self._add(a, b, element, owner, "")
            elif behaviour is Behaviour.CAVITY:
                self._add(a, b, cavity, owner, "")
            elif behaviour is Behaviour.STRUCTURE:
                self._add(a, b, ground, owner, device)
            elif behaviour is Behaviour.JOIN and not isinstance(owner, Part):
                self._joins.append((a, b))

    def _add_devices(self) -> None:
        kinds, world = self.variant.kinds, self.world
        for device in self.variant.devices.values():
            for part in device.parts:
                kind = kinds.get(part.kind)
                if kind is None:
                    continue
                for element in kind.electrics(part, device, world):
                    a, b = self._inside(device.id, element.a), self._inside(device.id, element.b)
                    number = self._add(a, b, element, part, device.id)
                    if element.pull_in_v:
                        self.coils.append(Coil(device.id, number, element.pull_in_v, element.drop_out_v))

    def _add(self, a: int, b: int, element: Element, owner: Owner, device: str) -> int:
        number = len(self.branches)
        self.branches.append(Branch(a, b, element, owner, device))
        self._of_owner[id(owner)].append(number)
        if element.when:
            self.conditional.append(number)
        return number

    def _inside(self, device: str, terminal: str) -> int:
        found = self.graph.index.get(Point(device, terminal, 0))
        if found is None:
            found = self._inner.setdefault((device, terminal), len(self.graph.points) + len(self._inner))
        return found

    def _merged(self) -> list[int]:
        of = list(range(self.size))

        def root(node: int) -> int:
            while of[node] != node:
                of[node] = of[of[node]]
                node = of[node]
            return node

        for a, b in self._joins:
            of[root(a)] = root(b)
        return [root(node) for node in range(self.size)]

    # -- looking -------------------------------------------------------------------------------------------------
    @cached_property
    def columns(self) -> Columns:
        """The branches as arrays, for the solver. Loads numpy."""
        from compiler.network.columns import Columns

        return Columns(self)

    @cached_property
    def chains(self) -> Chains:
        """The rows of plain resistances. Loads numpy."""
        from compiler.network.chains import Chains

        return Chains(self)

    @cached_property
    def always(self) -> Always:
        """What is live and what is grounded in every state."""
        return always(self)

    @cached_property
    def routes(self) -> Routes:
        """The ways from the sources to every node and back."""
        from compiler.network.routes import Routes

        return Routes(self)

    @cached_property
    def positions(self) -> dict[str, tuple[str, ...]]:
        """Everything that can be set, with its positions, the one at rest first: switches, relays, machines,
        outputs."""
        kinds, found = self.variant.kinds, {}
        moved = {coil.device for coil in self.coils}
        for device in self.variant.devices.values():
            kind = kinds.get(device.kind)
            if device.positions:
                found[device.id] = device.positions
            elif device.id in moved:
                found[device.id] = (AT_REST, ENERGISED)
            elif kind is not None and kind.settings:
                found[device.id] = kind.settings
            for part in device.parts:
                if part.role in OUTPUTS:
                    found[f"{device.id}.{part.terminals[0]}"] = OUTPUT_POSITIONS
        return found

    @cached_property
    def moved(self) -> tuple[str, ...]:
        """Devices that a coil of their own moves, in the order of the source."""
        return tuple(dict.fromkeys(coil.device for coil in self.coils))

    @cached_property
    def ratings(self) -> dict[int, float]:
        """Branch of a fuse or breaker -> its rating in A, where one is given."""
        return {
            number: row.owner.ratings["current"]
            for number, row in enumerate(self.branches)
            if row.role is Behaviour.PROTECTION and isinstance(row.owner, Part) and row.owner.ratings.get("current")
        }

    @cached_property
    def reference(self) -> int | None:
        """The node that readings are taken against: the negative post of the first battery, else of another source,
        else
        metal; None when there is nothing of the kind."""
        sources = [b for b in self.branches if b.element.role is Behaviour.SOURCE]
        for branch in sorted(sources, key=lambda branch: bool(branch.element.when)):
            return self.of[branch.b]
        return next((self.of[b.b] for b in self.branches if b.role is Behaviour.STRUCTURE), None)

    @cached_property
    def metal(self) -> int | None:
        """The node that a chafed wire shorts to: the structure nearest to the reference, else the reference itself."""
        start = self.reference
        if start is None:
            return None
        structures = {
            self.of[node]
            for name in self.variant.structures
            if (node := self.graph.index.get(structure_point(name))) is not None
        }
        around: dict[int, list[int]] = defaultdict(list)
        for branch in self.branches:
            if branch.role in _OUTSIDE:
                a, b = self.of[branch.a], self.of[branch.b]
                around[a].append(b)
                around[b].append(a)
        seen, queue = {start}, [start]
        for node in queue:  # grows while it runs: the nearest structure is met first
            if node in structures:
                return node
            for other in around[node]:
                if other not in seen:
                    seen.add(other)
                    queue.append(other)
        return start

    def limited(self, kept: Iterable[int]) -> Network:
        """The same network, nodes and branches alike, with the rows of plain resistances that hold none of the branches
        in `kept` drawn together. Readings are the same, those inside such rows by `spans` (`compiler.network.chains`).
        """
        rest, spans = self.chains.without(kept)
        other = copy(self)
        other.whole, other.spans, other.size = self, spans, spans.size
        other.of = spans.of[self.of].tolist()
        other.__dict__.update(
            positions=self.positions, routes=self.routes, columns=self.columns.limited(rest, spans.of)
        )
        for name in ("reference", "metal", "always", "chains"):  # these speak of potentials
            other.__dict__.pop(name, None)
        return other

    def node(self, point: Point) -> int | None:
        """The node of a point, or None when the variant has no such point in its circuit."""
        return self.graph.index.get(point)

    def branches_of(self, owner: Owner) -> list[int]:
        """Numbers of the branches of a wire, connector, ground, device's own joint or part."""
        return self._of_owner.get(id(owner), [])

    def branches_in(self, device: str) -> list[int]:
        """Numbers of the branches inside a device, in source order."""
        found = self.variant.devices.get(device)
        return [n for part in found.parts for n in self.branches_of(part)] if found else []

    def cavity_branch(self, connector: str, cavity: str) -> int | None:
        """Number of the branch between the two halves of a cavity, or None."""
        owner = self.variant.connectors.get(connector)
        near = self.graph.index.get(Point(connector, cavity, 0))
        if owner is None or near is None:
            return None
        return next((n for n in self.branches_of(owner) if self.branches[n].a == near), None)

    def place(self, number: int) -> str:
        """What a branch is, in words: `wire 48B`, `cavity C40.7`, `fuse F9`, `ground G101`, `contact K7 30-87`."""
        branch = self.branches[number]
        owner = branch.owner
        if isinstance(owner, Wire):
            return f"wire {owner.id}"
        if isinstance(owner, Connector):
            return f"cavity {owner.id}.{self.graph.points[branch.a].terminal}"
        if isinstance(owner, Ground):
            return f"ground {owner.id}"
        if branch.role is Behaviour.STRUCTURE:
            return f"case of {branch.device}"
        assert isinstance(owner, Part)
        device = self.variant.devices[branch.device]
        if len(device.parts) == 1 and owner.kind == device.kind:
            return f"{device.kind} {device.id}"
        if owner.label:
            return f"{owner.kind} {device.id}.{owner.label}"
        return f"{owner.kind} {device.id} {branch.element.a}-{branch.element.b}"
