"""Where a dead region stops: the bus, splice, fuse or terminal at which the feed, or the way to ground, ends."""

from __future__ import annotations

from collections.abc import Container
from itertools import chain
from typing import NamedTuple

from compiler.circuit.dead import Dead, Lack
from compiler.circuit.graph import Graph, structure_point
from compiler.circuit.potentials import Potentials, Way
from compiler.circuit.regions import entries
from compiler.model.items import Behaviour, Device, Point, Wire
from grammar.source import Span

_TURNING = frozenset({Behaviour.CONTACT, Behaviour.DIODE, Behaviour.DRIVER})
_STRUCTURE = structure_point("").item


class Stop(NamedTuple):
    """What stands there in words (`bus RUN-BUS`, `terminal 30 of K7`), its place, and whether no wire reaches it."""

    words: str
    at: Span
    bare: bool


def find_stop(potentials: Potentials, dead: Dead) -> Stop | None:
    """The stop of a dead region; None when it has no region or nothing in it stands out.

    The feed of a dead circuit most likely came in where current has nowhere else to go: at the wired end of a contact
    with no load on it, then at a bus, at the feed side of a fuse, at a splice. A way to ground likewise.
    """
    ranked = []
    for potential in stretch(potentials, dead):
        rank = _return_rank(potentials, potential) if dead.lack is Lack.RETURN else _feed_rank(potentials, potential)
        if rank is not None:
            ranked.append((rank, min(potentials.members[potential]), potential))
    if not ranked:
        return None
    potential = min(ranked)[2]
    return _described(potentials, potential, dead)


def stretch(potentials: Potentials, dead: Dead) -> list[int]:
    """The part of a dead region in which its cause must lie: for a feed, what no fuse of the region stands before."""
    return list(dead.region) if dead.lack is Lack.RETURN else entries(potentials, dead.region)


def _feed_rank(potentials: Potentials, potential: int) -> int | None:
    graph = potentials.graph
    if _turns_only(graph, potentials.ways[potential]):
        if potentials.wires[potential]:
            return 0
        return None if _is_spare(graph, potentials.members[potential]) else 1
    if _has(potentials, potential, graph.variant.buses):
        return 2
    if any(w.forward and graph.behaviours[w.edge] is Behaviour.PROTECTION for w in potentials.ways[potential]):
        return 3
    return 4 if _has(potentials, potential, graph.variant.splices) else None


def _return_rank(potentials: Potentials, potential: int) -> int | None:
    graph, ways = potentials.graph, potentials.ways[potential]
    if any(graph.points[node].item.startswith(_STRUCTURE) for node in potentials.members[potential]):
        return 0
    if any(not way.forward and graph.behaviours[way.edge] is Behaviour.DRIVER for way in ways):
        return 1
    if _turns_only(graph, ways):
        if potentials.wires[potential]:
            return 2
        return None if _is_spare(graph, potentials.members[potential]) else 3
    if _has(potentials, potential, graph.variant.buses) or _has(potentials, potential, graph.variant.splices):
        return 4
    return None


def _turns_only(graph: Graph, ways: list[Way]) -> bool:
    """Whether all that leaves a potential is contacts and the like of one device: it lets current in or out."""
    return all(graph.behaviours[way.edge] in _TURNING for way in ways) and (
        len({graph.inside[way.edge] for way in ways}) == 1
    )


def _has(potentials: Potentials, potential: int, items: Container[str]) -> bool:
    points = potentials.graph.points
    return any(points[node].item in items for node in potentials.members[potential])


def _is_spare(graph: Graph, members: list[int]) -> bool:
    for node in members:
        item, terminal, _ = graph.points[node]
        device = graph.variant.devices.get(item)
        if device is not None and terminal in device.spare:
            return True
        connector = graph.variant.connectors.get(item)
        if connector is not None:
            return connector.spare_rest or terminal in connector.spare or terminal in connector.plugged
    return False


def _described(potentials: Potentials, potential: int, dead: Dead) -> Stop | None:
    graph = potentials.graph
    variant, members = graph.variant, potentials.members[potential]
    bare = not potentials.wires[potential]
    points = sorted((graph.points[node] for node in members), key=lambda point: graph.index[point])
    if any(point.item.startswith(_STRUCTURE) for point in points):
        return _structure(potentials, dead.region)
    for point in points:
        if bus := variant.buses.get(point.item):
            return Stop(f"bus {bus.id}", bus.at, False)
    ways = potentials.ways[potential]
    fused = {graph.inside[way.edge] for way in ways if graph.behaviours[way.edge] is Behaviour.PROTECTION}
    turning = {graph.inside[way.edge] for way in ways if graph.behaviours[way.edge] in _TURNING}
    terminals = (
        Stop(f"terminal {point.terminal} of {device.id}", device.at, bare)
        for group in (fused, turning)
        for point in points
        if point.item in group and (device := variant.devices.get(point.item))
    )
    splices = (
        Stop(f"splice {splice.id}", splice.at, False) for point in points if (splice := variant.splices.get(point.item))
    )
    # Feeds come in at a terminal, returns are gathered at a splice.
    return next(chain(splices, terminals) if dead.lack is Lack.RETURN else chain(terminals, splices), None)


def _structure(potentials: Potentials, region: list[int]) -> Stop | None:
    """The structure that no strap joins, of several the one with most grounds; at the ground on it (at its wire, if
    there is but one), or at the case of a device that is bolted to it."""
    graph, variant = potentials.graph, potentials.graph.variant
    names = [
        item.removeprefix(_STRUCTURE)
        for potential in region
        for node in potentials.members[potential]
        if (item := graph.points[node].item).startswith(_STRUCTURE)
    ]
    on = {name: [ground for ground in variant.grounds.values() if ground.structure == name] for name in names}
    structure = max(names, key=lambda name: len(on[name]))
    words = f"structure {structure}"
    wired = [(ground, wire) for ground in on[structure] for wire in variant.wires_at(Point(ground.id, ""))]
    if len(wired) == 1:
        ground, wire = wired[0]
        return Stop(words, _end_at(wire, Point(ground.id, "")), False)
    if wired:
        return Stop(words, wired[0][0].at, False)
    cased = next((device for device in variant.devices.values() if device.case == structure), None)
    return Stop(words, _case_at(cased), False) if cased else None


def _end_at(wire: Wire, point: Point) -> Span:
    end = wire.a if wire.a.point == point else wire.b
    return Span(wire.at.source, end.written.start, end.written.end)


def _case_at(device: Device) -> Span:
    word = device.words.get("case")
    return Span(device.at.source, word.start, word.end) if word else device.at
