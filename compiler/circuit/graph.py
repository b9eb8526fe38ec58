"""The graph of a variant: points are nodes; wires, cavities, joints and the insides of devices are edges."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from typing import NamedTuple

from compiler.model.items import Behaviour, Connector, Device, Ground, Part, Point, Wire
from compiler.model.variant import Variant

Owner = Wire | Part | Connector | Ground | Device

# What a search may pass. Protection, loads and coils stop a search for what a supply reaches unprotected.
PLAIN = frozenset({Behaviour.WIRE, Behaviour.CAVITY, Behaviour.JOIN, Behaviour.STRUCTURE})
SWITCHED = PLAIN | {Behaviour.CONTACT}
FEEDING = SWITCHED | {Behaviour.RESISTOR, Behaviour.DIODE, Behaviour.DRIVER}
PROTECTED = FEEDING | {Behaviour.PROTECTION}
_ONE_WAY = (Behaviour.DIODE, Behaviour.DRIVER)


class Edge(NamedTuple):
    """One stretch between two nodes. Diodes and drivers run from `a` to `b`; `device` is the id of the device inside which
    the stretch lies (empty for wires and cavities)."""

    a: int
    b: int
    behaviour: Behaviour
    owner: Owner
    device: str


class Reached(NamedTuple):
    """Result of a search. `order` is the nodes in the order reached; `by` the edge by which each was first reached
    (-1 for a start); `steps` the number of edges from the nearest start."""

    order: list[int]
    by: dict[int, int]


class Graph:
    """Nodes are numbered as they are met; `index` gives the number of a point."""

    def __init__(self, variant: Variant) -> None:
        self.variant = variant
        self.points: list[Point] = []
        self.index: dict[Point, int] = {}
        self.edges: list[Edge] = []
        self.around: list[list[int]] = []
        self._add_wires()
        self._add_connectors()
        self._add_devices()
        self._add_grounds()

    # -- building ------------------------------------------------------------------------------------------------
    def node(self, point: Point) -> int:
        """The number of a point, added if it is new."""
        found = self.index.get(point)
        if found is None:
            found = self.index[point] = len(self.points)
            self.points.append(point)
            self.around.append([])
        return found

    def _edge(self, a: int, b: int, behaviour: Behaviour, owner: Owner, device: str = "") -> None:
        number = len(self.edges)
        self.edges.append(Edge(a, b, behaviour, owner, device))
        self.around[a].append(number)
        if a != b:
            self.around[b].append(number)

    def _add_wires(self) -> None:
        for wire in self.variant.wires:
            a, b = wire.a.point, wire.b.point
            if a is not None and b is not None:
                self._edge(self.node(a), self.node(b), Behaviour.WIRE, wire)

    def _add_connectors(self) -> None:
        devices = self.variant.devices
        for connector in self.variant.connectors.values():
            device = devices.get(connector.device) if connector.device else None
            for cavity in connector.cavities:
                near = Point(connector.id, cavity, 0)
                if device is not None:
                    terminal = device_terminal(device, connector.id, cavity)
                    if terminal:
                        far = self.node(Point(device.id, terminal, 0))
                        self._edge(self.node(near), far, Behaviour.CAVITY, connector)
                else:
                    far_point = Point(connector.id, cavity, 1)
                    if near in self.index or far_point in self.index:
                        self._edge(self.node(near), self.node(far_point), Behaviour.CAVITY, connector)

    def _add_devices(self) -> None:
        for device in self.variant.devices.values():
            node = {terminal: self.node(Point(device.id, terminal, 0)) for terminal in device.terminals}
            for part in device.parts:
                for a, b, behaviour in part.stretches:
                    if a in node and b in node:
                        self._edge(node[a], node[b], behaviour, part, device.id)
            if device.case and "case" in node:
                structure = self.node(Point(f"structure {device.case}", "", 0))
                self._edge(node["case"], structure, Behaviour.STRUCTURE, device, device.id)
            if device.bus and device.parts:
                first = device.parts[0].terminals[0]
                self._edge(self.node(Point(device.bus, "", 0)), node[first], Behaviour.JOIN, device, device.id)

    def _add_grounds(self) -> None:
        for ground in self.variant.grounds.values():
            structure = self.node(Point(f"structure {ground.structure}", "", 0))
            self._edge(self.node(Point(ground.id, "", 0)), structure, Behaviour.STRUCTURE, ground)

    # -- searching -----------------------------------------------------------------------------------------------
    def flood(
        self,
        starts: Iterable[int],
        passes: frozenset[Behaviour],
        *,
        against: bool = False,
        skip: Callable[[Edge], bool] | None = None,
    ) -> Reached:
        """Every node reached from `starts` over edges whose behaviour is in `passes`, breadth first.

        Diodes and drivers are passed in their direction only; `against` searches towards the source instead (as from
        ground). Edges for which `skip` is true are not passed.
        """
        by: dict[int, int] = {}
        order: list[int] = []
        queue: deque[int] = deque()
        for start in starts:
            if start not in by:
                by[start] = -1
                queue.append(start)
        edges, around = self.edges, self.around
        while queue:
            node = queue.popleft()
            order.append(node)
            for number in around[node]:
                edge = edges[number]
                if edge.behaviour not in passes:
                    continue
                if edge.a == node:
                    other = edge.b
                    if against and edge.behaviour in _ONE_WAY:
                        continue
                else:
                    other = edge.a
                    if not against and edge.behaviour in _ONE_WAY:
                        continue
                if other in by or (skip is not None and skip(edge)):
                    continue
                by[other] = number
                queue.append(other)
        return Reached(order, by)

    def path(self, reached: Reached, node: int) -> list[int]:
        """Edge numbers from a start of the search to `node`, in order of travel."""
        edges: list[int] = []
        while (number := reached.by[node]) >= 0:
            edges.append(number)
            edge = self.edges[number]
            node = edge.a if edge.b == node else edge.b
        return edges[::-1]

    def sources(self) -> tuple[list[int], list[int]]:
        """Nodes of the positive and of the negative terminals of batteries and alternators."""
        plus = [e.a for e in self.edges if e.behaviour is Behaviour.SOURCE]
        minus = [e.b for e in self.edges if e.behaviour is Behaviour.SOURCE]
        return plus, minus


def device_terminal(device: Device, connector: str, cavity: str) -> str:
    """The device's terminal behind a cavity of its connector, or empty when there is none."""
    full = f"{connector}.{cavity}"
    if full in device.terminals:
        return full
    if len(device.connectors) == 1 and cavity in device.terminals:
        return cavity
    return ""
