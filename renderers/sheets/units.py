"""What stands on a page, before it has a shape: units, and the links between them.

A unit is a device, a bus with its fuses, a row of cavities of an in-line connector, a splice, a ground, the
loose end of a wire, or an arrow to another sheet. A link is a wire, or the stub of a wire that is drawn on another sheet.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from typing import NamedTuple

from compiler.model.items import Device, Point, Wire
from compiler.model.variant import Variant
from renderers.sheets.order import settle_order

TOP, BOTTOM = 0, 1


class Sort(IntEnum):
    """What a unit is."""

    DEVICE = 0
    INLINE = 1
    SPLICE = 2
    GROUND = 3
    BUS = 4
    ARROW = 5
    LOOSE = 6


@dataclass(slots=True)
class Unit:
    """A thing on a page.

    item    id of what it shows
    cells   cavities (in-line connector), ids of fuses and breakers (bus)
    upper   half on the upper side (in-line connector)
    wire    the wire that an arrow continues
    shared  whether other pages show more wires of a splice
    brief   whether another unit of the page says where the connector or the block is
    """

    key: str
    sort: Sort
    item: str
    potential: float = 0.5
    cells: list[str] = field(default_factory=list)
    upper: int = 0
    wire: Wire | None = None
    shared: bool = False
    brief: bool = False


class Tip(NamedTuple):
    """An end of a link: the unit, the point at which the wire ends (None for an arrow or a loose end) and the face."""

    unit: str
    point: Point | None
    face: int


@dataclass(slots=True, eq=False)
class Link:
    """A wire on a page from its upper to its lower end. `stub`: it stands for a wire drawn elsewhere; `alone`: no other
    wire hangs from the unit at its upper end, nor from an arrow beside it."""

    key: str
    wire: Wire
    upper: Tip
    lower: Tip
    stub: bool
    alone: bool = False

    @property
    def tips(self) -> tuple[Tip, Tip]:
        return (self.upper, self.lower)


@dataclass(slots=True)
class Scene:
    """Units by key, and links, in a fixed order."""

    units: dict[str, Unit]
    links: list[Link]

    @property
    def look(self) -> Hashable:
        """All that a layout depends on: what has one look is laid out alike. Potentials have had their say before."""
        units = ((u.key, u.sort, *u.cells, u.upper, u.wire, u.shared, u.brief) for u in self.units.values())
        links = ((k.key, k.wire, k.upper, k.lower, k.stub, k.alone) for k in self.links)
        return tuple(units), tuple(links)


def sits_on_bus(variant: Variant, device: Device) -> bool:
    """Whether a device is drawn as part of a bus: a fuse or breaker below its bar, from which no arrow leaves, or what is
    joined to the bus and at most to the metal that it is bolted to."""
    if device.bus not in variant.buses or device.is_protective:
        return device.bus in variant.buses
    own = set(device.terminals) - {"case"}
    return len(own) == 1 and not device.connectors and not variant.wires_of_item(device.id)


class _Raw(NamedTuple):
    """A link whose direction is not settled yet."""

    key: str
    wire: Wire
    a: tuple[str, Point | None]
    b: tuple[str, Point | None]
    stub: bool


class Content(NamedTuple):
    """What a page shows: whole wires, one end (0 or 1) of wires that are cut, and components besides. `crowded`:
    splices with so many wires that several pages share them; such a page shows its own share and no arrows for the rest."""

    wires: tuple[Wire, ...]
    cuts: tuple[tuple[Wire, int], ...] = ()
    components: tuple[str, ...] = ()
    crowded: frozenset[str] = frozenset()


def build_scene(variant: Variant, content: Content, potential: Mapping[Point, float]) -> Scene:
    """The units and links of a page."""
    return _Builder(variant, content, potential).build()


class _Builder:
    def __init__(self, variant: Variant, content: Content, potential: Mapping[Point, float]) -> None:
        self.variant = variant
        self.content = content
        self.drawn = {wire.id for wire in content.wires} | {wire.id for wire, _ in content.cuts}
        self.potential = potential
        self.units: dict[str, Unit] = {}
        self.raw: list[_Raw] = []
        self.points: dict[str, dict[Point, None]] = {}

    def build(self) -> Scene:
        variant = self.variant
        for wire in self.content.wires:
            a, b = (self._end(wire, side, end.point) for side, end in enumerate(wire.ends))
            self.raw.append(_Raw(wire.id, wire, a, b, stub=False))
        for wire, side in self.content.cuts:
            key, point = self._end(wire, side, wire.ends[side].point)
            self._stub(key, point, wire)
        for item in self.content.components:
            device = variant.devices.get(item)
            if device is not None:
                self._device(device)
        self._stubs()
        self._set_potentials()
        self._merge_cavities()
        self._say_once()
        return self._directed()

    # -- units -----------------------------------------------------------------------------------------------------
    def _unit(self, key: str, sort: Sort, item: str) -> Unit:
        found = self.units.get(key)
        if found is None:
            found = self.units[key] = Unit(key, sort, item)
        return found

    def _end(self, wire: Wire, side: int, point: Point | None) -> tuple[str, Point | None]:
        if point is None:
            key = f"?{wire.id}{side}"
            self._unit(key, Sort.LOOSE, "").wire = wire
            return key, None
        key = self._key_of(point)
        self.points.setdefault(key, {})[point] = None
        return key, point

    def _key_of(self, point: Point) -> str:
        """The unit that shows a point, made if it is new."""
        variant, item = self.variant, point.item
        if item in variant.splices:
            splice = self._unit(item, Sort.SPLICE, item)
            splice.shared = item in self.content.crowded
            return splice.key
        if item in variant.grounds:
            return self._unit(item, Sort.GROUND, item).key
        if item in variant.buses:
            return self._unit(item, Sort.BUS, item).key
        connector = variant.connectors.get(item)
        if connector is not None and connector.is_inline:
            key = f"{item}.{point.terminal}"
            unit = self._unit(key, Sort.INLINE, item)
            if not unit.cells:
                unit.cells.append(point.terminal)
                halves = [self.potential.get(Point(item, point.terminal, half), 0.5) for half in (0, 1)]
                unit.upper = 0 if halves[0] >= halves[1] else 1
            return key
        device = variant.devices[connector.device if connector is not None else item]
        return self._device(device)

    def _device(self, device: Device) -> str:
        """The unit of a device: its own, or that of the bus on which a fuse or breaker sits."""
        if not sits_on_bus(self.variant, device):
            return self._unit(device.id, Sort.DEVICE, device.id).key
        unit = self._unit(device.bus, Sort.BUS, device.bus)
        if device.id not in unit.cells:
            unit.cells.append(device.id)
        return unit.key

    # -- arrows ----------------------------------------------------------------------------------------------------
    def _stubs(self) -> None:
        """Arrows for wires that are drawn elsewhere and end at a point that is drawn here."""
        for key, points in list(self.points.items()):
            unit = self.units[key]
            shown = list(points)
            if unit.sort is Sort.INLINE:
                shown = [Point(unit.item, unit.cells[0], half) for half in (0, 1)]
            if unit.sort in (Sort.GROUND, Sort.BUS) or unit.item in self.content.crowded:
                continue
            for point in shown:
                for wire in self.variant.wires_at(point):
                    if wire.id not in self.drawn:
                        self._stub(key, point, wire)
        for unit in [u for u in self.units.values() if u.sort is Sort.BUS]:
            self._feeds_of_bus(unit.item)

    def _stub(self, key: str, point: Point | None, wire: Wire) -> None:
        arrow = f">{wire.id}@{point}:{point.half if point else 0}"
        self._unit(arrow, Sort.ARROW, "").wire = wire
        self.raw.append(_Raw(arrow, wire, (key, point), (arrow, None), stub=True))

    def _feeds_of_bus(self, bus: str) -> None:
        """A bus is shown with what feeds it; its other wires are found on the power distribution sheet."""
        point = Point(bus, "", 0)
        level = self.potential.get(point, 0.5)
        key = self._unit(bus, Sort.BUS, bus).key
        self.points.setdefault(key, {})[point] = None
        for wire in self.variant.wires_at(point):
            if wire.id in self.drawn:
                continue
            far = next((e.point for e in wire.ends if e.point != point), None)
            if far is None or self.potential.get(far, 0.5) >= level:
                self._stub(key, point, wire)

    # -- potentials, merging, direction ------------------------------------------------------------------------------
    def _set_potentials(self) -> None:
        for key, unit in self.units.items():
            values = [self.potential.get(p, 0.5) for p in self.points.get(key, ())]
            if unit.sort is Sort.BUS:
                values = [self.potential.get(Point(unit.item, "", 0), 1.0)]
            device = self.variant.devices.get(unit.item)
            if unit.sort is Sort.DEVICE and device is not None and self._is_source(device):
                # An alternator hangs on the battery where both are shown.
                unit.potential = 3.0 if device.kind == "battery" else 2.9
            elif values:
                unit.potential = sum(values) / len(values)
        for raw in self.raw:
            if raw.stub:
                point = raw.a[1] or raw.wire.a.point
                if point is None:
                    continue
                far = next((e.point for e in raw.wire.ends if e.point != point), point)
                near, other = self.potential.get(point, 0.5), self.potential.get(far or point, 0.5)
                base = self._level(raw.a[0], raw.a[1])
                self.units[raw.b[0]].potential = base + (1e-5 if other > near else -1e-5)
            for key, point in (raw.a, raw.b):
                if point is None and self.units[key].sort is Sort.LOOSE:
                    self.units[key].potential = 0.4
        for unit in self.units.values():
            if unit.sort is Sort.GROUND:
                unit.potential = -2.0

    def _merge_cavities(self) -> None:
        """One body for the cavities of a connector that can stand side by side."""
        groups: dict[tuple[str, int], list[str]] = {}
        for key, unit in self.units.items():
            if unit.sort is Sort.INLINE:
                groups.setdefault((unit.item, unit.upper), []).append(key)
        for (item, _), group in groups.items():
            place = {cavity: index for index, cavity in enumerate(self.variant.connectors[item].cavities)}
            bodies: list[str] = []
            for key in sorted(group, key=lambda k: (-self.units[k].potential, place[self.units[k].cells[0]])):
                body = next((b for b in bodies if not self._one_above_other(b, key)), None)
                if body is None:
                    bodies.append(key)
                else:
                    self._join(body, key)
            for body in bodies:
                self.units[body].cells.sort(key=place.__getitem__)

    def _say_once(self) -> None:
        """Title and place of a connector, and of the block of a bus, stand at the uppermost of its bodies only."""
        told: set[str] = set()
        for unit in sorted(self.units.values(), key=lambda u: -u.potential):
            name = unit.item if unit.sort is Sort.INLINE else ""
            if unit.sort is Sort.BUS and unit.cells:
                name = self.variant.buses[unit.item].block
            unit.brief = bool(name) and name in told
            told.add(name)

    def _is_source(self, device: Device) -> bool:
        """Whether a battery or alternator feeds this page: wires at its first terminal are shown."""
        found = self.points.get(device.id, {})
        return device.kind in ("battery", "alternator") and any(p.terminal == device.terminals[0] for p in found)

    def _join(self, body: str, key: str) -> None:
        gone = self.units.pop(key)
        unit = self.units[body]
        total = len(unit.cells) + len(gone.cells)
        unit.potential = (unit.potential * len(unit.cells) + gone.potential * len(gone.cells)) / total
        unit.cells += gone.cells
        self.points[body].update(self.points.pop(key, {}))
        self.raw = [
            r._replace(
                a=(body, r.a[1]) if r.a[0] == key else r.a,
                b=(body, r.b[1]) if r.b[0] == key else r.b,
            )
            for r in self.raw
        ]

    def _one_above_other(self, one: str, other: str) -> bool:
        """Whether current runs from one unit through others to the other, so that they cannot stand in one row."""
        below: dict[str, set[str]] = {}
        for raw in self.raw:
            (a, pa), (b, pb) = raw.a, raw.b
            if self._level(a, pa) >= self._level(b, pb):
                below.setdefault(a, set()).add(b)
            else:
                below.setdefault(b, set()).add(a)

        def reaches(start: str, goal: str) -> bool:
            seen, todo = {start}, [start]
            while todo:
                for following in below.get(todo.pop(), ()):
                    if following == goal:
                        return True
                    if following not in seen:
                        seen.add(following)
                        todo.append(following)
            return False

        return reaches(one, other) or reaches(other, one)

    def _level(self, key: str, point: Point | None) -> float:
        unit = self.units[key]
        if point is None or unit.sort is Sort.GROUND or unit.potential > 2:
            return unit.potential
        return self.potential.get(point, unit.potential)

    def _directed(self) -> Scene:
        arcs: list[tuple[str, str, int]] = []
        for raw in self.raw:
            (a, pa), (b, pb) = raw.a, raw.b
            if a != b:
                one, other = self._level(a, pa), self._level(b, pb)
                # Where wires run in a circle, one that brings the supply may least of all run upwards.
                weight = 3 if min(one, other) > 1 else 1
                arcs.append((a, b, weight) if (one, b) >= (other, a) else (b, a, weight))
        rank = settle_order({k: u.potential for k, u in self.units.items()}, arcs)
        links: list[Link] = []
        for raw in self.raw:
            (a, pa), (b, pb) = raw.a, raw.b
            if rank[a] > rank[b]:
                (a, pa), (b, pb) = (b, pb), (a, pa)
            upper = Tip(a, pa, self._face(a, pa, BOTTOM))
            lower = Tip(b, pb, self._face(b, pb, TOP if a != b else BOTTOM))
            if a == b and upper.face > lower.face:
                upper, lower = lower, upper
            links.append(Link(raw.key, raw.wire, upper, lower, raw.stub))
        hanging = Counter(tip.unit for link in links for tip in link.tips if tip.face == BOTTOM)
        for link in links:
            unit = self.units[link.upper.unit]
            link.alone = link.upper.face == BOTTOM and hanging[unit.key] == 1 and unit.sort is not Sort.ARROW
        return Scene(self.units, links)

    def _face(self, key: str, point: Point | None, wanted: int) -> int:
        """The face of a unit at which a wire ends: an in-line connector and a ground leave no choice."""
        unit = self.units[key]
        if unit.sort is Sort.INLINE and point is not None:
            return TOP if point.half == unit.upper else BOTTOM
        if unit.sort is Sort.GROUND:
            return TOP
        if unit.sort is Sort.BUS and point is not None and point.item != unit.item:
            return BOTTOM
        return wanted
