"""The model of one variant, with its lookups. Built once by assembly, never changed afterwards."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from compiler.model.items import (
    Bus,
    Cable,
    Circuit,
    Connector,
    Device,
    FuseBlock,
    Ground,
    Harness,
    Located,
    Named,
    NamedState,
    Option,
    Point,
    Scenario,
    Sheet,
    Splice,
    Structure,
    TroubleCode,
    Twist,
    Waiver,
    Wire,
    Zone,
)
from grammar.source import Source, Span

if TYPE_CHECKING:
    from compiler.kinds.base import Kind
    from compiler.standards.colours import ColourTable


class Unresolved(NamedTuple):
    """A name that stands for nothing. `sort` says what was looked for; `near` the best guess or empty."""

    name: str
    sort: str
    at: Span
    near: str
    says: str = ""


class Duplicate(NamedTuple):
    """The same id given twice in one name space. The first counts.

    sort, first_sort  what the second and the first are (`splice`, `connector`, `relay` ...)
    first, second     places of the ids
    dropped           the whole second statement, which is not part of the model
    """

    sort: str
    id: str
    first: Span
    second: Span
    first_sort: str
    dropped: Span


class ConditionUse(NamedTuple):
    """A `when` in the source.

    options   the options it names
    held      whether it held in this variant
    possible  whether any choice of options makes it true, those around it being true too
    at        the condition; `block` the lines that depend on it
    """

    options: tuple[str, ...]
    held: bool
    possible: bool
    at: Span
    fragment: str
    block: Span


class Header(NamedTuple):
    """What the `variant` statement says. `supply_v` is volts."""

    id: str
    title: str
    series: str
    model_year: str
    issue: str
    supply_v: float
    options: tuple[tuple[str, Span], ...]
    at: Span


@dataclass(eq=False)
class Variant:
    """Everything known of one variant. Mappings keep the order of the source. Treat as immutable.

    `unresolved`, `duplicates` and `conditions` are what assembly noticed and checks report. `omitted` are the names
    that the variant leaves out, by name space (`item`, `circuit`, `sheet`, `wire` ...) and name. `declared_kinds` and
    `colour_tables` are those of the source, used or not.
    """

    header: Header
    colours: ColourTable
    options: Mapping[str, Option]
    zones: Mapping[str, Zone]
    harnesses: Mapping[str, Harness]
    structures: Mapping[str, Structure]
    blocks: Mapping[str, FuseBlock]
    buses: Mapping[str, Bus]
    splices: Mapping[str, Splice]
    grounds: Mapping[str, Ground]
    connectors: Mapping[str, Connector]
    devices: Mapping[str, Device]
    cables: Mapping[str, Cable]
    twists: Mapping[str, Twist]
    circuits: Mapping[str, Circuit]
    wires: tuple[Wire, ...]
    sheets: Mapping[str, Sheet]
    states: Mapping[str, NamedState]
    scenarios: tuple[Scenario, ...]
    trouble_codes: Mapping[str, TroubleCode]
    kinds: Mapping[str, Kind]
    waivers: tuple[Waiver, ...]
    unresolved: tuple[Unresolved, ...]
    duplicates: tuple[Duplicate, ...]
    conditions: tuple[ConditionUse, ...]
    sources: tuple[Source, ...]
    omitted: Mapping[tuple[str, str], Span] = field(default_factory=dict)
    declared_kinds: Mapping[str, Named] = field(default_factory=dict)
    colour_tables: Mapping[str, Named] = field(default_factory=dict)

    @property
    def id(self) -> str:
        return self.header.id

    @cached_property
    def items(self) -> Mapping[str, Located]:
        """Everything a wire end may name, and fuse blocks and cables: one name space."""
        found: dict[str, Located] = {}
        groups: tuple[Mapping[str, Located], ...] = (
            self.blocks,
            self.buses,
            self.connectors,
            self.devices,
            self.splices,
            self.grounds,
            self.cables,
        )
        for group in groups:
            for key, item in group.items():
                found.setdefault(key, item)
        return found

    @cached_property
    def wire_by_id(self) -> Mapping[str, Wire]:
        return {wire.id: wire for wire in self.wires}

    @cached_property
    def _wires_at(self) -> Mapping[Point, tuple[Wire, ...]]:
        found: dict[Point, list[Wire]] = defaultdict(list)
        for wire in self.wires:
            a, b = wire.a.point, wire.b.point
            if a is not None:
                found[a].append(wire)
            if b is not None and b != a:
                found[b].append(wire)
        return {point: tuple(wires) for point, wires in found.items()}

    def wires_at(self, point: Point) -> tuple[Wire, ...]:
        """Wires that end at a point (a wire from a point to itself is there once)."""
        return self._wires_at.get(point, ())

    def crowded(self) -> Iterator[tuple[Point, tuple[Wire, ...]]]:
        """The points at which more than one wire ends, with those wires."""
        return ((point, wires) for point, wires in self._wires_at.items() if len(wires) > 1)

    @cached_property
    def _points_of(self) -> Mapping[str, tuple[Point, ...]]:
        found: dict[str, list[Point]] = defaultdict(list)
        for point in self._wires_at:
            found[point.item].append(point)
        return {item: tuple(points) for item, points in found.items()}

    def wired_points(self, item: str) -> tuple[Point, ...]:
        """Points of an item (by id) at which at least one wire ends."""
        return self._points_of.get(item, ())

    def wires_of_item(self, item: str) -> tuple[Wire, ...]:
        """Wires that end at an item; for a device also those that reach it through its connectors."""
        device = self.devices.get(item)
        ids = (item, *device.connectors) if device else (item,)
        return _unique(w for i in ids for p in self.wired_points(i) for w in self.wires_at(p))

    @cached_property
    def _by_circuit(self) -> Mapping[str, tuple[Wire, ...]]:
        return _grouped(self.wires, lambda wire: wire.circuit)

    def wires_of_circuit(self, circuit: str) -> tuple[Wire, ...]:
        return self._by_circuit.get(circuit, ())

    @cached_property
    def _by_harness(self) -> Mapping[str, tuple[Wire, ...]]:
        return _grouped(self.wires, lambda wire: wire.harness)

    def wires_in_harness(self, harness: str) -> tuple[Wire, ...]:
        return self._by_harness.get(harness, ())

    @cached_property
    def _by_zone(self) -> Mapping[str, tuple[Located, ...]]:
        found: dict[str, list[Located]] = defaultdict(list)
        for item in self.items.values():
            if item.place is not None:
                found[item.place.zone].append(item)
        return {zone: tuple(items) for zone, items in found.items()}

    def items_in_zone(self, zone: str) -> tuple[Located, ...]:
        return self._by_zone.get(zone, ())

    @cached_property
    def _sheets_of_circuit(self) -> Mapping[str, tuple[str, ...]]:
        found: dict[str, list[str]] = defaultdict(list)
        for sheet in self.sheets.values():
            for word, _ in sheet.circuits:
                if sheet.id not in found[word.text]:
                    found[word.text].append(sheet.id)
        return {circuit: tuple(sheets) for circuit, sheets in found.items()}

    def sheets_of_circuit(self, circuit: str) -> tuple[str, ...]:
        """Sheet numbers on which a circuit is drawn, in sheet order."""
        return self._sheets_of_circuit.get(circuit, ())

    @cached_property
    def _sheets_by_component(self) -> Mapping[str, tuple[str, ...]]:
        found: dict[str, list[str]] = defaultdict(list)
        for sheet in self.sheets.values():
            for word, _ in sheet.components:
                found[word.text].append(sheet.id)
        return {item: tuple(sheets) for item, sheets in found.items()}

    @cached_property
    def _sheet_order(self) -> Mapping[str, int]:
        return {sheet: index for index, sheet in enumerate(self.sheets)}

    def sheets_of_item(self, item: str) -> tuple[str, ...]:
        """Sheets on which an item appears: named there, or at the end of a circuit that is drawn there."""
        found = set(self._sheets_by_component.get(item, ()))
        for wire in self.wires_of_item(item):
            found.update(self.sheets_of_circuit(wire.circuit))
        if (device := self.devices.get(item)) and device.bus:
            for wire in self.wires_of_item(device.bus):
                if not found:
                    found.update(self.sheets_of_circuit(wire.circuit))
        if item in self.blocks:
            for device in self.devices.values():
                if device.block == item:
                    found.update(self.sheets_of_item(device.id))
        return tuple(sorted(found, key=lambda sheet: self._sheet_order.get(sheet, 0)))

    def device_point(self, device: Device, terminal: str) -> Point:
        """The point of a device's own terminal (behind its connector, if it has one)."""
        return Point(device.id, terminal, 0)

    def connector_of_terminal(self, device: Device, terminal: str) -> tuple[str, str] | None:
        """Connector id and cavity through which a device terminal is reached, or None when it is wired directly."""
        if terminal == "case":
            return None
        if len(device.connectors) == 1:
            connector = self.connectors.get(device.connectors[0])
            if connector and terminal in connector.cavities:
                return connector.id, terminal
        head, dot, cavity = terminal.rpartition(".")
        if dot and head in device.connectors:
            return head, cavity
        return None

    def place_of(self, item: Named) -> str:
        """The place of an item in words: zone title and the author's words, or empty."""
        place = getattr(item, "place", None)
        if place is None:
            return ""
        zone = self.zones.get(place.zone)
        return ", ".join(part for part in ((zone.title or zone.id) if zone else place.zone, place.words) if part)


def _grouped(wires: Iterable[Wire], key: object) -> dict[str, tuple[Wire, ...]]:
    found: dict[str, list[Wire]] = defaultdict(list)
    for wire in wires:
        found[key(wire)].append(wire)  # type: ignore[operator]
    return {name: tuple(group) for name, group in found.items()}


def _unique(wires: Iterable[Wire]) -> tuple[Wire, ...]:
    return tuple(dict.fromkeys(wires))
