"""What an author or technician may call a place in the wiring: an item, a terminal, a cavity, a wire, a circuit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from difflib import SequenceMatcher
from typing import NamedTuple

from compiler.assembly.names import nearest
from compiler.circuit.graph import Graph, structure_point
from compiler.model.items import Cable, Connector, Device, FuseBlock, Point, Wire
from compiler.model.variant import Variant

_SIDES = ("harness", "component")
_LONGEST_GUESS = 40


class UnknownPlaceError(ValueError):
    """A name that stands for no place. `near` is the best guess or empty; the message is one line for a person."""

    def __init__(self, name: str, says: str, near: str = "") -> None:
        super().__init__(says + (f"; did you mean {near}?" if near else ""))
        self.name = name
        self.near = near


class Found(NamedTuple):
    """What a name stands for in words (`wire 48B`), and its nodes in the graph, in the order of the source."""

    words: str
    nodes: tuple[int, ...]


def find(graph: Graph, name: str) -> Found:
    """The place that a name stands for. Raises UnknownPlaceError.

    An item's id (`K7`, `C40`, `SP101`, `G101`, `FB1`), a terminal or cavity (`K7.87`, `C40.7`), a part
    (`S21.tell-tale`), a structure (`chassis`), a wire (`48B`) or a circuit (`48`), in this order of preference;
    `wire 48B` and `circuit 48` say which is meant. `C40.7@body` and `C40@body` are one half of an in-line connector,
    by its harness; of a component connector the halves are `@harness` and `@component`.
    """
    name = name.strip()
    head, _, rest = name.partition(" ")
    if head in ("wire", "circuit", "structure") and rest:
        points = dict(_sorted_names(graph.variant, head, rest.strip()))
    else:
        points = dict(_plain(graph.variant, name))
        if not points and "@" in name:
            points = dict(_half(graph.variant, name))
    if not points:
        raise UnknownPlaceError(name, f"nothing is called {name}", _guess(graph.variant, name))
    words, own = next(iter(points.items()))
    nodes = tuple(dict.fromkeys(graph.index[point] for point in own if point in graph.index))
    if not nodes:
        raise UnknownPlaceError(name, f"no wire reaches {words}")
    return Found(words, nodes)


def _plain(variant: Variant, name: str) -> Iterator[tuple[str, tuple[Point, ...]]]:
    """The readings of a name, best first."""
    item = variant.items.get(name)
    if item is not None:
        yield name, tuple(_item_points(variant, name))
    item_id, dot, terminal = name.rpartition(".")
    if dot:
        yield from _terminal(variant, item_id, terminal)
    for sort in ("structure", "wire", "circuit"):
        yield from _sorted_names(variant, sort, name)


def _sorted_names(variant: Variant, sort: str, name: str) -> Iterator[tuple[str, tuple[Point, ...]]]:
    if sort == "structure" and (name == "chassis" or name in variant.structures):
        yield f"structure {name}", (structure_point(name),)
    elif sort == "wire" and (wire := variant.wire_by_id.get(name)):
        yield f"wire {name}", tuple(_ends([wire]))
    elif sort == "circuit" and name in variant.circuits:
        yield f"circuit {name}", tuple(_ends(variant.wires_of_circuit(name)))


def _ends(wires: Iterable[Wire]) -> Iterator[Point]:
    return (end.point for wire in wires for end in wire.ends if end.point is not None)


def _item_points(variant: Variant, name: str) -> Iterator[Point]:
    item = variant.items[name]
    if isinstance(item, Device):
        yield from (Point(name, terminal) for terminal in item.terminals)
    elif isinstance(item, Connector):
        yield from _cavities(variant, item, item.cavities, (0, 1))
    elif isinstance(item, FuseBlock):
        yield from (Point(bus.id, "") for bus in variant.buses.values() if bus.block == name)
        for device in variant.devices.values():
            if device.block == name:
                yield from (Point(device.id, terminal) for terminal in device.terminals)
    elif isinstance(item, Cable):
        yield from _ends(wire for wire in variant.wires if wire.core.rpartition(".")[0] == name)
    else:
        yield Point(name, "")


def _terminal(variant: Variant, item: str, terminal: str) -> Iterator[tuple[str, tuple[Point, ...]]]:
    device, connector = variant.devices.get(item), variant.connectors.get(item)
    if device is not None:
        if terminal in device.terminals:
            yield f"{item}.{terminal}", (Point(item, terminal),)
        for part in device.parts:
            if part.label == terminal:
                yield f"{item}.{terminal}", tuple(Point(item, own) for own in part.terminals)
        if len(device.connectors) == 1:
            connector = variant.connectors.get(device.connectors[0])
    if connector is not None and terminal in connector.cavities:
        yield f"{connector.id}.{terminal}", tuple(_cavities(variant, connector, (terminal,), (0, 1)))


def _half(variant: Variant, name: str) -> Iterator[tuple[str, tuple[Point, ...]]]:
    """`C40.7@body`: one half of a connector or of one of its cavities."""
    whole, _, side = name.rpartition("@")
    item, dot, cavity = whole.rpartition(".")
    connector = variant.connectors.get(whole) or (variant.connectors.get(item) if dot else None)
    if connector is None:
        return
    sides = _SIDES if connector.device else connector.halves
    cavities = connector.cavities if connector.id == whole else (cavity,)
    if side in sides and all(own in connector.cavities for own in cavities):
        yield name, tuple(_cavities(variant, connector, cavities, (sides.index(side),)))


def _cavities(
    variant: Variant, connector: Connector, cavities: Iterable[str], halves: tuple[int, ...]
) -> Iterator[Point]:
    """The points of cavities on some halves. The component's half of its connector is its own terminal."""
    device = variant.devices.get(connector.device)
    for cavity in cavities:
        for half in halves:
            if device is None or half == 0:
                yield Point(connector.id, cavity, half)
            else:
                full = f"{connector.id}.{cavity}"
                yield Point(device.id, full if full in device.terminals else cavity)


def _guess(variant: Variant, name: str) -> str:
    """A name that may have been meant: of the same item if there is one, else of any."""
    if len(name) > _LONGEST_GUESS:
        return ""
    item, dot, terminal = name.rpartition(".")
    side = ""
    if "@" in terminal:
        terminal, _, side = terminal.partition("@")
    device, connector = variant.devices.get(item), variant.connectors.get(item)
    if dot and (device is not None or connector is not None):
        known = list(connector.cavities) if connector is not None else []
        if device is not None:
            known += [*device.terminals, *(part.label for part in device.parts if part.label)]
        if side and connector is not None and terminal in connector.cavities:
            sides = _SIDES if connector.device else connector.halves
            return f"{item}.{terminal}@{max(sides, key=lambda own: SequenceMatcher(None, side, own).ratio())}"
        near = nearest(terminal, known)
        return f"{item}.{near}" if near else ""
    for group in (variant.items, variant.wire_by_id, variant.circuits, ("chassis", *variant.structures)):
        if near := nearest(item or name, group):
            return f"{near}.{terminal}" if item else near
    return ""
