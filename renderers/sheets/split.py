"""Cutting a sheet that is too full into pages, where the fewest wires are cut.

Splices, cavities, fuses and components are the nodes of a graph, wires its edges. Grounds and buses are drawn on every
page that needs them, so a wire to them is never cut; the terminals of a component, or the wires of a splice, may part
for a price if they are many.
Halves are grown from several starts, mended by moving single nodes while that helps, and the best is taken.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence

from compiler.model.items import Point, Wire
from compiler.model.variant import Variant
from renderers.sheets.plan import unit_of
from renderers.sheets.units import Content

MANY = 7  # wires at a component from which on its terminals may part
_CROWD = 12  # wires at a splice from which on it is drawn more than once
_STARTS = 12
SLACK = 0.12  # by how much a share may be missed, where nothing else is said
_WIRE = 900.0  # square points: what a wire takes of the page, beside the boxes that it joins


def split(
    variant: Variant,
    content: Content,
    share: float,
    potential: Mapping[Point, float],
    room: Mapping[str, float],
    slack: float = SLACK,
) -> tuple[Content, Content] | None:
    """Two parts of a page's content, the first with `share` of the room give or take `slack`. None if it cannot be cut.

    room  what each item takes on the page, in square points: devices, splices, cavities (`C1.4`); others take none
    """
    nodes = _Nodes(variant, _shared_out(variant, content), room, slack)
    if len(nodes.weight) < 2:
        return None
    side = nodes.best_cut(share, potential)
    parts = nodes.contents(side)
    if not all(p.wires or p.cuts for p in parts):
        return None
    return parts


def _shared_out(variant: Variant, content: Content) -> Content:
    """The content with all wires of splices that no page can hold, so that the parts share them out."""
    shown = {w.id for w in content.wires} | {w.id for w, _ in content.cuts}
    points = {e.point for w in content.wires for e in w.ends} | {w.ends[s].point for w, s in content.cuts}
    crowded = set(content.crowded)
    cuts = list(content.cuts)
    for point in sorted(p for p in points if p is not None and p.item in variant.splices):
        wires = variant.wires_at(point)
        if len(wires) > _CROWD and point.item not in crowded:
            crowded.add(point.item)
            cuts += [(w, 0 if w.a.point == point else 1) for w in wires if w.id not in shown]
    return content._replace(cuts=tuple(cuts), crowded=frozenset(crowded))


class _Nodes:
    def __init__(self, variant: Variant, content: Content, room: Mapping[str, float], slack: float) -> None:
        self.variant = variant
        self.room = room
        self.slack = slack
        self.content = content
        self.busy: dict[str, int] = {}
        for wire in [*content.wires, *(w for w, _ in content.cuts)]:
            for end in wire.ends:
                if end.point is not None:
                    unit = unit_of(variant, end.point)
                    self.busy[unit] = self.busy.get(unit, 0) + 1
        self.weight: dict[str, float] = {}
        self.edges: dict[str, dict[str, float]] = {}
        self.points: dict[str, list[Point]] = {}
        for wire in content.wires:
            a, b = self.ends(wire)
            self._add(a, wire)
            self._add(b, wire)
            self._tie(a, b, 1.0)
        for wire, shown in content.cuts:
            self._add(self.ends(wire)[shown], wire)
        self._neighbours()
        self.names = sorted(self.weight)
        self.strength = {n: sum(ties.values()) or 1 for n, ties in self.edges.items()}

    def node(self, point: Point | None, wire: Wire) -> str:
        """The node of a wire's end; a ground, bus or unknown end belongs to its wire."""
        variant = self.variant
        if point is None or point.item in variant.grounds or point.item in variant.buses:
            return f"={wire.id}"
        unit = unit_of(variant, point)
        if unit in variant.devices and self.busy.get(unit, 0) > MANY:
            return f"{unit}|{point.item}.{point.terminal}"
        if unit in variant.splices and self.busy.get(unit, 0) > _CROWD:
            return f"{unit}|{wire.id}"
        return unit

    def ends(self, wire: Wire) -> tuple[str, str]:
        """Nodes of both ends; a wire from a node to ground is all on the node."""
        a, b = (self.node(end.point, wire) for end in wire.ends)
        if a.startswith("=") and not b.startswith("="):
            a = b
        elif b.startswith("=") and not a.startswith("="):
            b = a
        return a, b

    def _add(self, node: str, wire: Wire) -> None:
        if node not in self.weight:
            unit, _, part = node.partition("|")
            room = self.room.get(unit, 0.0)
            self.weight[node] = room / self.busy[unit] if part else room
        self.weight[node] += _WIRE
        self.edges.setdefault(node, {})
        self.points.setdefault(node, []).extend(e.point for e in wire.ends if e.point is not None)

    def _tie(self, a: str, b: str, strength: float) -> None:
        if a != b:
            self.edges[a][b] = self.edges[a].get(b, 0.0) + strength
            self.edges[b][a] = self.edges[a][b]

    def _neighbours(self) -> None:
        """Cavities of one connector, fuses of one bus and terminals of one component would rather stay together."""
        groups: dict[tuple[str, float], list[str]] = {}
        for node in self.weight:
            unit = node.partition("|")[0]
            device = self.variant.devices.get(unit)
            if "|" in node:
                groups.setdefault((unit, 0.4), []).append(node)
            elif device is not None and device.bus:
                groups.setdefault((device.bus, 0.2), []).append(node)
            elif device is None and (head := node.rpartition(".")[0]) in self.variant.connectors:
                groups.setdefault((head, 0.1), []).append(node)
        for (_, strength), group in groups.items():
            for a, b in itertools.pairwise(group):
                self._tie(a, b, strength)

    def best_cut(self, share: float, potential: Mapping[Point, float]) -> set[str]:
        """The nodes of the first part."""
        total = sum(self.weight.values())
        level = {n: max((potential.get(p, 0.5) for p in ps), default=0.5) for n, ps in self.points.items()}
        ordered = sorted(self.weight, key=lambda n: (-level.get(n, 0.5), n))
        step = max(1, len(ordered) // _STARTS)
        best: tuple[float, int] | None = None
        chosen: set[str] = set()
        for number, start in enumerate(dict.fromkeys([*ordered[::step], ordered[-1]])):
            side = self._grow(start, share * total)
            cost = self._mend(side, share, total)
            if best is None or (round(cost, 6), number) < best:
                best = (round(cost, 6), number)
                chosen = side
        # The part nearer the supply comes first.
        if chosen and len(chosen) < len(ordered):
            rest = [n for n in ordered if n not in chosen]
            mean = [sum(level[n] for n in part) / len(part) for part in (sorted(chosen), rest)]
            if abs(share - 0.5) < 1e-9 and mean[0] < mean[1]:
                chosen = set(rest)
        return chosen

    def _grow(self, start: str, goal: float) -> set[str]:
        side = {start}
        held = self.weight[start]
        pull = dict(self.edges[start])
        names = iter(self.names)
        while held < goal and len(side) < len(self.weight):
            if pull:
                node = max(pull, key=lambda n: (pull[n] / self.strength[n], n))
            else:
                node = next(n for n in names if n not in side)
            pull.pop(node, None)
            side.add(node)
            held += self.weight[node]
            for other, strength in self.edges[node].items():
                if other not in side:
                    pull[other] = pull.get(other, 0.0) + strength
        return side

    def _cost(self, side: set[str], held: float, goal: float, total: float) -> float:
        cut = sum(s for a in side for b, s in self.edges[a].items() if b not in side)
        off = abs(held - goal) / total
        return cut + max(0.0, off - self.slack) * 60

    def _mend(self, side: set[str], share: float, total: float) -> float:
        """Move single nodes while the cost falls."""
        goal = share * total
        held = sum(self.weight[n] for n in sorted(side))
        gain = {n: self._gain(n, side) for n in self.weight}
        moved = True
        while moved:
            moved = False
            for node in sorted(self.weight, key=lambda n: (-gain[n], n)):
                if gain[node] <= 1e-9:
                    break
                change = self.weight[node] * (-1 if node in side else 1)
                before = max(0.0, abs(held - goal) / total - self.slack) * 60
                after = max(0.0, abs(held + change - goal) / total - self.slack) * 60
                if gain[node] > after - before + 1e-9 and 0 < len(side) + (1 if change > 0 else -1) < len(self.weight):
                    side.symmetric_difference_update({node})
                    held += change
                    gain[node] = self._gain(node, side)
                    for other in self.edges[node]:
                        gain[other] = self._gain(other, side)
                    moved = True
        return self._cost(side, held, goal, total)

    def _gain(self, node: str, side: set[str]) -> float:
        mine = node in side
        return sum(s if (other in side) != mine else -s for other, s in self.edges[node].items())

    def contents(self, side: set[str]) -> tuple[Content, Content]:
        """The content of both parts; a wire between them is cut."""
        parts: list[tuple[list[Wire], list[tuple[Wire, int]], list[str]]] = [([], [], []), ([], [], [])]
        for wire in self.content.wires:
            a, b = self.ends(wire)
            if (a in side) == (b in side):
                parts[a not in side][0].append(wire)
            else:
                parts[a not in side][1].append((wire, 0))
                parts[b not in side][1].append((wire, 1))
        for wire, shown in self.content.cuts:
            node = self.ends(wire)[shown]
            parts[node not in side][1].append((wire, shown))
        shown_units = [self._shown(p[0], p[1]) for p in parts]
        for item in self.content.components:
            if item not in shown_units[0] | shown_units[1]:
                # What hangs on a bus is drawn with it.
                device = self.variant.devices.get(item)
                parts[int(device is not None and device.bus in shown_units[1] - shown_units[0])][2].append(item)
        crowded = self.content.crowded
        first, second = (Content(tuple(w), tuple(c), tuple(x), crowded) for w, c, x in parts)
        return first, second

    def _shown(self, wires: Sequence[Wire], cuts: Sequence[tuple[Wire, int]]) -> set[str]:
        points = [e.point for w in wires for e in w.ends] + [w.ends[s].point for w, s in cuts]
        return {unit_of(self.variant, p) for p in points if p is not None}
