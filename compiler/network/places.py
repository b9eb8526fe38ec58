"""From a place as a person names it to the points and branches of a network.

A place is a wire (`48B`), a cavity (`C40.7`), a terminal (`K7.87`), a part (`E5.stop`), two terminals of one device
(`K7.30-87`), a device, splice, ground, bus or connector (`F9`, `SP101`, `G101`), or a circuit (`circuit 48`, or
`48` where no item is called so). One half of a cavity is named as `point_name` does: `C40.7 body side`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from compiler.assembly.names import nearest
from compiler.model.items import Connector, Device, Part, Point, Wire
from compiler.network.network import CannotSolve

if TYPE_CHECKING:
    from compiler.network.network import Network


class PlaceError(CannotSolve):
    """A place that the variant does not have. The message suggests the nearest name."""


class Place(NamedTuple):
    """What a name stands for.

    name      as asked for
    points    where a probe can reach, in the order of the source
    branches  what current runs through there: numbers of branches
    part      the part, where the name is that of one
    device    the device it is in, or None
    """

    name: str
    points: tuple[Point, ...]
    branches: tuple[int, ...]
    part: Part | None = None
    device: Device | None = None


def find_place(network: Network, name: str) -> Place:
    """What a name stands for. Raises PlaceError."""
    variant = network.variant
    word, _, rest = name.partition(" ")
    if word == "circuit" and rest:
        if rest.strip() not in variant.circuits:
            raise PlaceError(f"there is no circuit {rest.strip()}{_near(rest.strip(), variant.circuits)}")
        return _circuit(network, rest.strip(), name)
    found = _item(network, name) or _half(network, name) or _inside(network, name)
    if found is None and name in variant.wire_by_id:
        wire = variant.wire_by_id[name]
        found = Place(name, _wire_points(wire), tuple(network.branches_of(wire)))
    if found is None and name in variant.circuits:
        found = _circuit(network, name, name)
    if found is not None:
        return found
    raise PlaceError(f"there is no {name}{_near_place(network, name)}")


def _item(network: Network, name: str) -> Place | None:
    """A whole item: device, connector, splice, ground, bus, fuse block."""
    variant = network.variant
    device = variant.devices.get(name)
    if device is not None:
        points = tuple(dict.fromkeys(p for t in device.terminals for p in reached(network, device, t)))
        return Place(name, points, tuple(network.branches_in(name)), None, device)
    if connector := variant.connectors.get(name):
        near = [p for cavity in connector.cavities for p in _cavity(network, connector, cavity)]
        return Place(name, tuple(near), tuple(network.branches_of(connector)))
    if ground := variant.grounds.get(name):
        return Place(name, _known(network, Point(name, "", 0)), tuple(network.branches_of(ground)))
    if name in variant.splices or name in variant.buses:
        return Place(name, _known(network, Point(name, "", 0)), ())
    if name in variant.blocks:
        inside = [d for d in variant.devices.values() if d.block == name]
        points = tuple(p for d in inside for t in d.terminals for p in reached(network, d, t))
        return Place(name, points, tuple(n for d in inside for n in network.branches_in(d.id)))
    return None


def _half(network: Network, name: str) -> Place | None:
    """One half of a cavity: `C40.7 body side`."""
    cavity, _, side = name.partition(" ")
    item, _, inner = cavity.rpartition(".")
    connector = network.variant.connectors.get(item)
    if connector is None or not side or inner not in connector.cavities:
        return None
    points = [p for h in (0, 1) if side == connector.half_name(h) for p in _known(network, Point(item, inner, h))]
    return Place(name, tuple(points), ()) if points else None


def _inside(network: Network, name: str) -> Place | None:
    """A cavity, terminal, part or pair of terminals: `ITEM.INNER`."""
    variant = network.variant
    item, dot, inner = name.rpartition(".")
    if not dot:
        return None
    if connector := variant.connectors.get(item):
        if inner not in connector.cavities:
            raise PlaceError(f"{item} has no cavity {inner}{_near(inner, connector.cavities)}")
        branch = network.cavity_branch(item, inner)
        return Place(name, _cavity(network, connector, inner), () if branch is None else (branch,))
    # A module's terminal has a full stop of its own (`A1.C201.7`): the longest device name wins, then the shortest.
    while item and (device := variant.devices.get(item)) is None:
        item, _, more = item.rpartition(".")
        inner = f"{more}.{inner}"
    device = variant.devices.get(item)
    if device is None:
        return None
    return _part_of(network, device, name, inner)


def _part_of(network: Network, device: Device, name: str, inner: str) -> Place:
    branches = network.branches_in(device.id)
    for part in device.parts:
        if inner and part.label == inner:
            return Place(name, _ends(network, device, part), tuple(network.branches_of(part)), part, device)
    if inner in device.terminals:
        if inner == "case":
            return Place(name, reached(network, device, inner), tuple(network.branches_of(device)), None, device)
        return Place(name, reached(network, device, inner), (), None, device)
    for number in branches:
        element = network.branches[number].element
        if inner in (f"{element.a}-{element.b}", f"{element.b}-{element.a}"):
            owner = network.branches[number].owner
            part_found = owner if isinstance(owner, Part) else None
            points = tuple(dict.fromkeys(p for t in (element.a, element.b) for p in reached(network, device, t)))
            return Place(name, points, (number,), part_found, device)
    known = [*device.terminals, *(p.label for p in device.parts if p.label)]
    raise PlaceError(f"{device.id} has no terminal or part {inner}{_near(inner, known)}")


def _circuit(network: Network, circuit: str, name: str) -> Place:
    wires = network.variant.wires_of_circuit(circuit)
    points = dict.fromkeys(p for wire in wires for end in _wire_points(wire) for p in _both_halves(network, end))
    return Place(name, tuple(points), tuple(n for wire in wires for n in network.branches_of(wire)))


def reached(network: Network, device: Device, terminal: str) -> tuple[Point, ...]:
    """The points at a device's terminal: the harness side of its connector, where it has one, and the terminal
    itself."""
    found = network.variant.connector_of_terminal(device, terminal)
    points = [Point(*found, 0)] if found else []
    return tuple(p for p in (*points, Point(device.id, terminal, 0)) if network.node(p) is not None)


def point_name(network: Network, point: Point) -> str:
    """A point in words: `C40.7 body side`, `K7.87`, `SP101`."""
    connector = network.variant.connectors.get(point.item)
    return f"{point} {connector.half_name(point.half)}" if connector else str(point)


def _ends(network: Network, device: Device, part: Part) -> tuple[Point, ...]:
    return tuple(dict.fromkeys(p for t in part.terminals for p in reached(network, device, t)))


def _cavity(network: Network, connector: Connector, cavity: str) -> tuple[Point, ...]:
    points = [p for half in (0, 1) for p in _known(network, Point(connector.id, cavity, half))]
    device = network.variant.devices.get(connector.device) if connector.device else None
    if device is not None and points:
        number = network.cavity_branch(connector.id, cavity)
        if number is not None:
            points.append(network.graph.points[network.branches[number].b])
    return tuple(dict.fromkeys(points))


def _both_halves(network: Network, point: Point) -> Iterator[Point]:
    connector = network.variant.connectors.get(point.item)
    if connector is None:
        yield point
    else:
        yield from _cavity(network, connector, point.terminal)


def _wire_points(wire: Wire) -> tuple[Point, ...]:
    return tuple(end.point for end in wire.ends if end.point is not None)


def _known(network: Network, point: Point) -> tuple[Point, ...]:
    return () if network.node(point) is None else (point,)


def _near(name: str, known: object) -> str:
    near = nearest(name, known)  # type: ignore[arg-type]
    return f"; did you mean {near}?" if near else ""


def _near_place(network: Network, name: str) -> str:
    variant = network.variant
    return _near(name, [*variant.items, *variant.wire_by_id, *variant.circuits])
