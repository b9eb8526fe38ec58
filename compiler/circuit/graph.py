"""The graph of a variant: points are nodes; wires, cavities, joints and the insides of devices are edges."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Container, Iterable, Mapping, Sequence
from functools import cache, cached_property
from typing import NamedTuple

from compiler.model.items import Behaviour, Connector, Device, Ground, Part, Point, Wire
from compiler.model.variant import Variant

Owner = Wire | Part | Connector | Ground | Device

# What joins points at all times, metal included.
PLAIN = frozenset({Behaviour.WIRE, Behaviour.CAVITY, Behaviour.JOIN, Behaviour.STRUCTURE})
# What lets current on without doing work: protection, loads and coils stop such a search.
FEEDING = PLAIN | {Behaviour.CONTACT, Behaviour.RESISTOR, Behaviour.DIODE, Behaviour.DRIVER}
ONE_WAY = frozenset({Behaviour.DIODE, Behaviour.DRIVER})


class Edge(NamedTuple):
    """One stretch between two nodes.

    Diodes and drivers run from `a` to `b`; `device` is the id of the device inside which the stretch lies (empty for
    wires, cavities and grounds).
    """

    a: int
    b: int
    behaviour: Behaviour
    owner: Owner
    device: str


class Reached(NamedTuple):
    """Result of a search: `order` the nodes in the order reached, `by` the edge by which each was first reached (-1 for
    a start)."""

    order: list[int]
    by: dict[int, int]


class Graph:
    """Nodes are numbered as they are met; `index` gives the number of a point.

    The columns `tails`, `heads`, `behaviours`, `owners` and `inside` hold the edges by number, for the searches that
    run over all of them; `edges` gives the same as values. `around` lists the numbers of the edges at each node, in
    the order in which the source names them. Wires have the first numbers.
    """

    def __init__(self, variant: Variant) -> None:
        self.variant = variant
        self.points: list[Point] = []
        self.index: dict[Point, int] = {}
        self.around: list[list[int]] = []
        self.tails: list[int] = []
        self.heads: list[int] = []
        self.behaviours: list[Behaviour] = []
        self.owners: list[Owner] = []
        self.inside: list[str] = []
        self._add_wires()
        self._add_connectors()
        self._add_devices()
        self._add_grounds()

    # -- building: inner loops that run once for each wire and cavity, so they are spelt out --------------------------
    def node(self, point: Point) -> int:
        """The number of a point, added if it is new."""
        found = self.index.get(point)
        if found is None:
            found = self.index[point] = len(self.points)
            self.points.append(point)
            self.around.append([])
        return found

    def _edge(self, a: int, b: int, behaviour: Behaviour, owner: Owner, device: str = "") -> None:
        around, number = self.around, len(self.tails)
        self.tails.append(a)
        self.heads.append(b)
        self.behaviours.append(behaviour)
        self.owners.append(owner)
        self.inside.append(device)
        around[a].append(number)
        if a != b:
            around[b].append(number)

    def _add_wires(self) -> None:
        index, points, around = self.index, self.points, self.around
        tails, heads = self.tails, self.heads
        for wire in self.variant.wires:
            near, far = wire.a.point, wire.b.point
            if near is None or far is None:
                continue
            number = len(tails)
            a = index.get(near)
            if a is None:
                a = index[near] = len(points)
                points.append(near)
                around.append([number])
            else:
                around[a].append(number)
            b = index.get(far)
            if b is None:
                b = index[far] = len(points)
                points.append(far)
                around.append([number])
            elif a != b:
                around[b].append(number)
            tails.append(a)
            heads.append(b)
            self.owners.append(wire)
        self.behaviours = [Behaviour.WIRE] * len(tails)
        self.inside = [""] * len(tails)

    def _add_connectors(self) -> None:
        devices, get, node, edge = self.variant.devices, self.index.get, self.node, self._edge
        behaviour = Behaviour.CAVITY
        for connector in self.variant.connectors.values():
            device = devices.get(connector.device) if connector.device else None
            id_ = connector.id
            if device is None:
                for cavity in connector.cavities:
                    near, far = Point(id_, cavity, 0), Point(id_, cavity, 1)
                    a, b = get(near), get(far)
                    if a is not None or b is not None:
                        edge(node(near) if a is None else a, node(far) if b is None else b, behaviour, connector)
                continue
            terminals, alone = frozenset(device.terminals), len(device.connectors) == 1
            for cavity in connector.cavities:
                terminal = f"{id_}.{cavity}"
                if terminal not in terminals:
                    if not alone or cavity not in terminals:
                        continue
                    terminal = cavity
                edge(node(Point(id_, cavity, 0)), node(Point(device.id, terminal, 0)), behaviour, connector)

    def _add_devices(self) -> None:
        node, edge = self.node, self._edge
        for device in self.variant.devices.values():
            id_ = device.id
            own = {terminal: node(Point(id_, terminal, 0)) for terminal in device.terminals}
            for part in device.parts:
                for a, b, behaviour in part.stretches:
                    if a in own and b in own:
                        edge(own[a], own[b], behaviour, part, id_)
            if device.case and "case" in own:
                edge(own["case"], node(structure_point(device.case)), Behaviour.STRUCTURE, device, id_)
            if device.bus and device.parts and device.parts[0].terminals:
                first = own[device.parts[0].terminals[0]]
                edge(node(Point(device.bus, "", 0)), first, Behaviour.JOIN, device, id_)

    def _add_grounds(self) -> None:
        for ground in self.variant.grounds.values():
            structure = self.node(structure_point(ground.structure))
            self._edge(self.node(Point(ground.id, "", 0)), structure, Behaviour.STRUCTURE, ground)

    # -- looking -------------------------------------------------------------------------------------------------
    @cached_property
    def edges(self) -> list[Edge]:
        """The edges as values, by number."""
        columns = (self.tails, self.heads, self.behaviours, self.owners, self.inside)
        return [Edge(*row) for row in zip(*columns, strict=True)]

    @cached_property
    def sorted_edges(self) -> Mapping[Behaviour, Sequence[int]]:
        """The numbers of the edges of each behaviour, rising."""
        found: list[list[int]] = [[] for _ in Behaviour]
        for number, behaviour in enumerate(self.behaviours):
            found[behaviour].append(number)
        return dict(zip(Behaviour, found, strict=True))

    def other(self, edge: int, node: int) -> int:
        """The node at the other end of an edge."""
        return self.tails[edge] + self.heads[edge] - node

    def flood(
        self,
        starts: Iterable[int],
        passes: frozenset[Behaviour],
        *,
        against: bool = False,
        skip: Callable[[Edge], bool] | None = None,
        within: Container[int] | None = None,
    ) -> Reached:
        """Every node reached from `starts` over edges whose behaviour is in `passes`, breadth first.

        Diodes and drivers are passed in their direction only; `against` searches towards the source instead (as from
        ground). Edges for which `skip` is true are not passed, nodes outside `within` not entered.
        """
        passed, one_way = table(passes), table(ONE_WAY)
        tails, heads, behaviours, around = self.tails, self.heads, self.behaviours, self.around
        by: dict[int, int] = dict.fromkeys(starts, -1)
        order: list[int] = []
        queue = deque(by)
        while queue:
            node = queue.popleft()
            order.append(node)
            for number in around[node]:
                behaviour = behaviours[number]
                if not passed[behaviour]:
                    continue
                tail = tails[number]
                other = tail + heads[number] - node
                if other in by or (one_way[behaviour] and (tail == node) is against):
                    continue
                if within is not None and other not in within:
                    continue
                if skip is not None and skip(self.edges[number]):
                    continue
                by[other] = number
                queue.append(other)
        return Reached(order, by)

    def path(self, reached: Reached, node: int) -> list[int]:
        """Edge numbers from a start of the search to `node`, in order of travel."""
        edges: list[int] = []
        while (number := reached.by[node]) >= 0:
            edges.append(number)
            node = self.tails[number] + self.heads[number] - node
        return edges[::-1]

    def sources(self) -> tuple[list[int], list[int]]:
        """Nodes of the positive and of the negative terminals of batteries and alternators."""
        numbers = self.sorted_edges[Behaviour.SOURCE]
        return [self.tails[n] for n in numbers], [self.heads[n] for n in numbers]


@cache
def table(behaviours: frozenset[Behaviour]) -> tuple[bool, ...]:
    """Whether each behaviour, by number, is one of some: the searches ask it once for each edge."""
    return tuple(behaviour in behaviours for behaviour in Behaviour)


def structure_point(structure: str) -> Point:
    """The point that stands for a structure in the graph. No item can have such an id: ids hold no space."""
    return Point(f"structure {structure}", "", 0)


def device_terminal(device: Device, connector: str, cavity: str) -> str:
    """The device's terminal behind a cavity of its connector, or empty when there is none."""
    full = f"{connector}.{cavity}"
    if full in device.terminals:
        return full
    if len(device.connectors) == 1 and cavity in device.terminals:
        return cavity
    return ""
