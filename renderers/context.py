"""What chart builders share: the variant, the drawn sheets, and what is worked out once for all charts."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from html import unescape
from typing import TYPE_CHECKING, NamedTuple

from compiler.changes.change import Changes
from compiler.changes.compare import compare
from compiler.changes.inventory import Inventory, inventory_of
from compiler.circuit.feeds import Feeds, Protection
from compiler.circuit.graph import FEEDING, Edge, Graph
from compiler.model.items import Behaviour, Device, Located, Point, Wire
from compiler.model.variant import Variant
from compiler.network.electrical import Electrical
from renderers.around import Around
from renderers.loads import Loads
from renderers.sheets.figure import SheetFigure
from renderers.store import Store
from renderers.text import anchor, natural_key

if TYPE_CHECKING:
    from compiler.isolation.bench import Bench
    from renderers.changed import Marks
    from renderers.isolation.charted import Charted
    from renderers.lit_states import Lit

_JOINED = frozenset({Behaviour.WIRE, Behaviour.CAVITY, Behaviour.JOIN})
_WIRE = re.compile(r'data-wire="([^"]*)"')
_FED = FEEDING - {Behaviour.STRUCTURE}


class Fed(NamedTuple):
    """What a fuse feeds: circuits by number and the devices at them."""

    circuits: tuple[str, ...]
    devices: tuple[Device, ...]


@dataclass(eq=False)
class PackContext:
    """The subject of a pack. `sheets` are the drawn pages by name: the sheet's number, `12 (2)` for a further page."""

    variant: Variant
    sheets: Mapping[str, SheetFigure]
    line: str = ""
    """Name of the vehicle line, from the project's settings."""
    around: Around = Around()  # noqa: RUF009 - immutable
    store: Store = field(default_factory=lambda: Store(None))
    """Where results of earlier runs are found."""
    jobs: int = 1
    """Processes at most for what takes long; 0 for all cores."""

    @cached_property
    def graph(self) -> Graph:
        return Graph(self.variant)

    @cached_property
    def protections(self) -> Mapping[str, tuple[Protection, ...]]:
        """Fuses, breakers and fusible links by device id, as the circuit runs."""
        found: dict[str, list[Protection]] = {}
        for protection in Feeds(self.graph).protections:
            found.setdefault(protection.device.id, []).append(protection)
        return {device: tuple(own) for device, own in found.items()}

    @cached_property
    def inventory(self) -> Inventory:
        """The variant as plain facts and what its sheets look like, for the issue after this one."""
        from renderers.looks import drawn_of

        return replace(inventory_of(self.variant), drawn=drawn_of(self))

    @cached_property
    def changes(self) -> Changes | None:
        """What changed since the earlier issue; None when none was given."""
        return compare(self.around.since, self.inventory) if self.around.since else None

    @cached_property
    def marks(self) -> Marks:
        """What is told of changes at the pages of sheets; nothing without an earlier issue."""
        from renderers.changed import marks_of

        return marks_of(self)

    @cached_property
    def lit(self) -> tuple[Lit, ...]:
        """The states in which sheets are published, each with these sheets."""
        from renderers.lit_states import lit_states

        return lit_states(self)

    @cached_property
    def electrical(self) -> Electrical:
        """The network as the project's settings have it; made when it is first asked for."""
        return Electrical(self.graph, self.around.policy)

    @cached_property
    def loads(self) -> Loads:
        """What can flow where at one time."""
        return Loads(self.electrical)

    @cached_property
    def bench(self) -> Bench:
        """What fault isolation works on."""
        from compiler.isolation.bench import Bench

        return Bench(self.electrical.network, self.around.policy, self.electrical.flows)

    @cached_property
    def charted(self) -> Charted:
        """The fault charts."""
        from renderers.isolation.charted import charted

        return charted(self)

    def device_at(self, point: Point) -> Device | None:
        """The device at a point, its own terminal or a cavity of its connector."""
        device = self.variant.devices.get(point.item)
        if device is None:
            connector = self.variant.connectors.get(point.item)
            if connector is not None and connector.device:
                device = self.variant.devices.get(connector.device)
        return device

    @cached_property
    def _ground_side(self) -> frozenset[int]:
        """Nodes that are ground at all times: joined to a ground point or a supply's negative by wire alone."""
        graph = self.graph
        starts = [
            number for ground in self.variant.grounds if (number := graph.index.get(Point(ground, "", 0))) is not None
        ]
        return frozenset(graph.flood([*graph.sources()[1], *starts], _JOINED | {Behaviour.STRUCTURE}).by)

    @cached_property
    def _owned(self) -> Mapping[int, frozenset[int]]:
        """Node -> edges of the protective devices that it is joined to at all times."""
        found: dict[int, set[int]] = {}
        for own in self.protections.values():
            for protection in own:
                for node in protection.own.by:
                    found.setdefault(node, set()).add(protection.edge)
        return {node: frozenset(edges) for node, edges in found.items()}

    def fed_by(self, device: Device) -> Fed:
        """What a fuse, breaker or link feeds, through contacts and drivers, up to the next fuse or to ground."""
        if device.id not in self._fed:
            self._fed[device.id] = self._flooded(device)
        return self._fed[device.id]

    @cached_property
    def _fed(self) -> dict[str, Fed]:
        return {}

    def _flooded(self, device: Device) -> Fed:
        graph, ground = self.graph, self._ground_side
        circuits: dict[str, None] = {}
        nodes: dict[int, None] = {}
        for protection in self.protections.get(device.id, ()):
            own = frozenset((protection.edge,))

            def beyond(edge: Edge, own: frozenset[int] = own) -> bool:
                return any(node in ground or self._owned.get(node, own) - own for node in (edge.a, edge.b))

            reached = graph.flood([protection.load], _FED, skip=beyond)
            nodes.update(dict.fromkeys(reached.order))
            for node in reached.order:
                for number in graph.around[node]:
                    edge = graph.edges[number]
                    if isinstance(edge.owner, Wire) and edge.a in reached.by and edge.b in reached.by:
                        circuits[edge.owner.circuit] = None
        return Fed(tuple(circuits), self.devices_at(nodes, device.id))

    @cached_property
    def _feeding(self) -> Mapping[str, tuple[str, ...]]:
        """Circuit -> fuses, breakers and links that feed it, by id."""
        found: dict[str, list[str]] = {}
        for device in sorted(self.protections, key=natural_key):
            for circuit in self.fed_by(self.variant.devices[device]).circuits:
                found.setdefault(circuit, []).append(device)
        return {circuit: tuple(devices) for circuit, devices in found.items()}

    def feeding(self, circuit: str) -> tuple[str, ...]:
        """The fuses, breakers and links that feed a circuit, up to the next fuse."""
        return self._feeding.get(circuit, ())

    @cached_property
    def _protecting(self) -> Mapping[str, tuple[str, ...]]:
        return self._turned((name, self.fed_by(self.variant.devices[name]).devices) for name in self.protections)

    def protecting(self, device: str) -> tuple[str, ...]:
        """The fuses, breakers and links that feed a device, through contacts and drivers, next in front of it."""
        return self._protecting.get(device, ())

    @cached_property
    def _grounds_of(self) -> Mapping[str, tuple[str, ...]]:
        return self._turned((ground, self.grounded_at(ground)) for ground in self.variant.grounds)

    def grounds_of(self, device: str) -> tuple[str, ...]:
        """The grounds that a device is joined to by wires, cavities and splices."""
        return self._grounds_of.get(device, ())

    @staticmethod
    def _turned(pairs: Iterable[tuple[str, Iterable[Device]]]) -> Mapping[str, tuple[str, ...]]:
        """Device -> the names it is paired with, sorted."""
        found: dict[str, list[str]] = {}
        for name, devices in sorted(pairs, key=lambda pair: natural_key(pair[0])):
            for device in devices:
                found.setdefault(device.id, []).append(name)
        return {device: tuple(names) for device, names in found.items()}

    def devices_at(self, nodes: Iterable[int], but: str = "") -> tuple[Device, ...]:
        """Devices at nodes of the graph, but one, sorted by id."""
        points = [self.graph.points[node] for node in nodes]
        found = {device.id: device for point in points if (device := self.device_at(point)) and device.id != but}
        return tuple(sorted(found.values(), key=lambda device: natural_key(device.id)))

    def grounded_at(self, ground: str) -> tuple[Device, ...]:
        """Devices joined to a ground by wires, cavities and splices, without passing another ground."""
        graph = self.graph
        start = graph.index.get(Point(ground, "", 0))
        if start is None:
            return ()
        others = {graph.index.get(Point(other, "", 0)) for other in self.variant.grounds if other != ground}
        reached = graph.flood([start], _JOINED, skip=lambda edge: edge.a in others or edge.b in others)
        return self.devices_at(reached.order)

    @cached_property
    def _pages(self) -> Mapping[str, tuple[SheetFigure, ...]]:
        """The drawn pages of each sheet, by the sheet's number as the author wrote it."""
        found: dict[str, list[SheetFigure]] = {}
        for figure in self.sheets.values():
            found.setdefault(figure.own_sheet, []).append(figure)
        return {number: tuple(figures) for number, figures in found.items()}

    def pages_of(self, number: str) -> tuple[SheetFigure, ...]:
        """The drawn pages of a sheet, by its number, in order."""
        return self._pages.get(number, ())

    @cached_property
    def _circuits_drawn(self) -> Mapping[str, frozenset[str]]:
        """Page of a sheet -> circuits drawn on it, as the drawing itself says."""
        wires = self.variant.wire_by_id
        return {name: frozenset(wires[wire].circuit for wire in self.wires_on(name)) for name in self.sheets}

    @cached_property
    def _wires_drawn(self) -> Mapping[str, frozenset[str]]:
        """Page of a sheet -> wires drawn on it, as the drawing itself says."""
        wires = self.variant.wire_by_id
        drawn = {name: map(unescape, _WIRE.findall(figure.svg)) for name, figure in self.sheets.items()}
        return {name: frozenset(wire for wire in found if wire in wires) for name, found in drawn.items()}

    def wires_on(self, page: str) -> frozenset[str]:
        """Wires drawn on a page of a sheet."""
        return self._wires_drawn[page]

    def circuits_on(self, page: str) -> tuple[str, ...]:
        """Circuits drawn on a page of a sheet, sorted."""
        return tuple(sorted(self._circuits_drawn[page], key=natural_key))

    @cached_property
    def _stands(self) -> Mapping[str, Mapping[str, str]]:
        """Item -> pages of sheets that draw it, each with the zone of the frame."""
        found: dict[str, dict[str, str]] = {}
        for name, figure in self.sheets.items():
            for item, zone in figure.places.items():
                found.setdefault(item, {})[name] = zone
        return found

    def sheets_of_item(self, item: str) -> tuple[str, ...]:
        """Pages of sheets that an item is drawn on, sorted; the first page of its sheets where no drawing says."""
        found = {page for name in self._drawn_as(item) for page in self._stands.get(name, ())}
        if not found:
            numbers = self.variant.sheets_of_item(item)
            found = {figure.sheet for number in numbers for figure in self._pages.get(number, ())[:1]}
        return tuple(sorted(found, key=natural_key))

    @cached_property
    def _drawing(self) -> Mapping[str, tuple[str, ...]]:
        """Wire id -> pages of sheets that draw it: those of its circuit's own sheets first, sorted."""
        found: dict[str, list[str]] = {}
        for page in sorted(self.sheets, key=natural_key):
            for wire in self.wires_on(page):
                found.setdefault(wire, []).append(page)
        return {wire: self._own_first(self.variant.wire_by_id[wire].circuit, pages) for wire, pages in found.items()}

    def _own_first(self, circuit: str, pages: Iterable[str]) -> tuple[str, ...]:
        own = set(self.variant.sheets_of_circuit(circuit))
        return tuple(sorted(pages, key=lambda page: ((self.sheets[page].number or page) not in own, natural_key(page))))

    def sheets_of_circuit(self, circuit: str) -> tuple[str, ...]:
        """Pages of sheets that draw a wire of a circuit: those of its own sheets first, sorted; the first page of each
        of its own where no drawing has any."""
        wires = self.variant.wires_of_circuit(circuit)
        found = {page for wire in wires for page in self._drawing.get(wire.id, ())}
        if not found:
            own = self.variant.sheets_of_circuit(circuit)
            found = {figure.sheet for number in own for figure in self._pages.get(number, ())[:1]}
        return self._own_first(circuit, found)

    def sheets_of_wire(self, wire: Wire) -> tuple[str, ...]:
        """Pages of sheets that draw a wire, those of its circuit's own sheets first; of one that is drawn nowhere, the
        pages of its circuit."""
        return self._drawing.get(wire.id) or self.sheets_of_circuit(wire.circuit)

    def sheets_of_point(self, item: str, terminal: str) -> tuple[str, ...]:
        """Pages of sheets that draw an item with a wire at one of its terminals; all of its pages where none does."""
        sheets = self.sheets_of_item(item)
        wires = {wire.id for half in (0, 1) for wire in self.variant.wires_at(Point(item, terminal, half))}
        return tuple(page for page in sheets if wires & self.wires_on(page)) or sheets

    def zone_on(self, page: str, item: str) -> str:
        """The zone of a sheet's frame in which an item stands (`C4`), or empty."""
        zones = (self._stands.get(name, {}).get(page, "") for name in self._drawn_as(item))
        return next(filter(None, zones), "")

    def _drawn_as(self, item: str) -> tuple[str, ...]:
        """The ids under which an item may stand in a drawing: a component and its connectors are drawn as one."""
        connector = self.variant.connectors.get(item)
        if connector is not None and connector.device:
            return (item, connector.device)
        if item in self.variant.devices:
            return (item, *self.variant.devices[item].connectors)
        if item in self.variant.blocks:
            return (item, *(device.id for device in self.variant.devices.values() if device.block == item))
        return (item,)

    def kind_title(self, device: Device) -> str:
        """What a device is, in words."""
        kind = self.variant.kinds.get(device.kind)
        return kind.title if kind else device.kind

    def place_of(self, item: Located) -> Located:
        """The item whose place holds for an item: the fuse block of a part in one, the device of its connector."""
        if item.place is not None:
            return item
        connector = self.variant.connectors.get(item.id)
        if connector is not None and connector.device in self.variant.devices:
            return self.place_of(self.variant.devices[connector.device])
        device = self.variant.devices.get(item.id)
        if device is not None and device.block in self.variant.blocks:
            return self.variant.blocks[device.block]
        return item

    def home(self, item: str) -> str:
        """The anchor under which an item (by id) is described; empty for an unknown one."""
        return anchor("item", item) if item in self.variant.items else ""

    def by_id(self, items: Mapping[str, Located]) -> list[Located]:
        """Items sorted by id."""
        return [items[key] for key in sorted(items, key=natural_key)]
