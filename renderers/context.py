"""What chart builders share: the variant, the drawn sheets, and what is worked out once for all charts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from compiler.circuit.feeds import Feeds, Protection
from compiler.circuit.graph import Graph
from compiler.model.items import Behaviour, Device, Located, Point, Wire
from compiler.model.variant import Variant
from renderers.figures import SheetFigure
from renderers.text import anchor, natural_key

_JOINED = frozenset({Behaviour.WIRE, Behaviour.CAVITY, Behaviour.JOIN})


@dataclass(eq=False)
class PackContext:
    """The subject of a pack. `sheets` are the drawings by sheet number."""

    variant: Variant
    sheets: Mapping[str, SheetFigure]
    line: str = ""
    """Name of the vehicle line, from the project's settings."""

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

    def device_at(self, point: Point) -> Device | None:
        """The device at a point, its own terminal or a cavity of its connector."""
        device = self.variant.devices.get(point.item)
        if device is None:
            connector = self.variant.connectors.get(point.item)
            if connector is not None and connector.device:
                device = self.variant.devices.get(connector.device)
        return device

    def devices_on(self, wires: Iterable[Wire], nodes: Iterable[int], but: str) -> tuple[Device, ...]:
        """Devices at the ends of wires and at nodes of the graph, but one, sorted by id."""
        points = [end.point for wire in wires for end in wire.ends if end.point is not None]
        points += [self.graph.points[node] for node in nodes]
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
        return self.devices_on((), reached.order, "")

    def sheets_of_item(self, item: str) -> tuple[str, ...]:
        """Numbers of the sheets an item stands on, sorted."""
        return tuple(sorted(self.variant.sheets_of_item(item), key=natural_key))

    def sheets_of_circuit(self, circuit: str) -> tuple[str, ...]:
        """Numbers of the sheets a circuit stands on, sorted."""
        return tuple(sorted(self.variant.sheets_of_circuit(circuit), key=natural_key))

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
