"""How supply comes to every fuse and how current comes back from every ground: the ways, and the load of each."""

from __future__ import annotations

from collections import defaultdict
from typing import NamedTuple

from compiler.model.items import Behaviour, Device, Ground, Point, Wire
from compiler.network.flows import Consumer, Flows
from compiler.network.network import Network
from compiler.network.summary import Load, branch_load, charged, load_of

_BOLTED = frozenset({Behaviour.WIRE, Behaviour.CAVITY, Behaviour.JOIN})


class FeedWay(NamedTuple):
    """The way from a source to a fuse, breaker or link.

    above    protective devices in front of it, the one at the source first
    through  devices whose contacts lie between the last of those (or the source) and it
    bus      id of the last bus before it, or empty
    wires    wires between the last of `above` (or the source) and it
    """

    device: Device
    above: tuple[Device, ...]
    through: tuple[Device, ...]
    bus: str
    wires: tuple[Wire, ...]


class Return(NamedTuple):
    """What comes back to a ground over one of its wires.

    wire       the wire under the ground's bolt
    devices    ids of components, found along wires, cavities and splices without passing a ground or a source
    grounds    other grounds that the wire leads to: then it is a strap
    """

    wire: Wire
    devices: tuple[str, ...]
    grounds: tuple[str, ...]


def feed_ways(flows: Flows) -> dict[str, FeedWay]:
    """The way to every protective device that a source can reach, by its id, in source order."""
    network = flows.network
    variant, rows, of = network.variant, network.branches, network.of
    at_bus = _buses(network)
    found: dict[str, FeedWay] = {}
    for number, row in enumerate(rows):
        if row.role is not Behaviour.PROTECTION or row.device in found:
            continue
        trails = [(flows.feed_trail(end), end) for end in (of[row.a], of[row.b]) if flows.is_fed(end)]
        own = [(trail, end) for trail, end in trails if number not in trail]
        if not own:
            continue
        trail, end = min(own, key=lambda pair: len(pair[0]))
        above = [n for n in trail if rows[n].role is Behaviour.PROTECTION]
        last = trail[trail.index(above[-1]) + 1 :] if above else trail
        contacts = dict.fromkeys(rows[n].device for n in last if rows[n].role is Behaviour.CONTACT)
        passed = [node for n in last for node in (of[rows[n].a], of[rows[n].b])]
        buses = [at_bus[node] for node in [end, *reversed(passed)] if node in at_bus]
        found[row.device] = FeedWay(
            variant.devices[row.device],
            tuple(variant.devices[rows[n].device] for n in above),
            tuple(variant.devices[device] for device in contacts),
            buses[0] if buses else "",
            tuple(owner for n in last if isinstance(owner := rows[n].owner, Wire)),
        )
    return found


def bus_loads(flows: Flows) -> dict[str, Load]:
    """The greatest current that can pass each bus at one time, by its id."""
    network = flows.network
    of, rows, at_bus = network.of, network.branches, _buses(network)
    found: dict[str, list[Consumer]] = defaultdict(list)
    for consumer in flows.ways:
        passed = {of[end] for n in consumer.feed for end in (rows[n].a, rows[n].b)}
        for node in passed & at_bus.keys():
            found[at_bus[node]].append(consumer)
    charging: dict[str, list[int]] = defaultdict(list)
    for machine, trail in flows.charging:
        for node in {of[end] for n in trail for end in (rows[n].a, rows[n].b)} & at_bus.keys():
            charging[at_bus[node]].append(machine)
    loads = ((bus, load_of(flows, found[bus])) for bus in network.variant.buses if bus in found or bus in charging)
    return {bus: charged(flows, load, charging[bus]) for bus, load in loads}


def _buses(network: Network) -> dict[int, str]:
    """The potential of each bus -> its id."""
    index = network.graph.index
    return {network.of[index[p]]: bus for bus in network.variant.buses if (p := Point(bus, "", 0)) in index}


def wire_loads(flows: Flows) -> dict[str, Load]:
    """The greatest current that can pass each wire at one time on its way to or from a load, by the wire's id."""
    rows = enumerate(flows.network.branches)
    loads = ((row.owner.id, branch_load(flows, number)) for number, row in rows if isinstance(row.owner, Wire))
    return {wire: load for wire, load in loads if load.known}


def bolt_loads(flows: Flows) -> dict[str, Load]:
    """The greatest current that can come back to each ground at one time by the wires under its bolt, by its id.

    What reaches it over metal and straps from other grounds is not in it: how that divides is not for a sum to say.
    """
    found: dict[str, dict[Consumer, None]] = defaultdict(dict)
    for number, consumers in flows.returning_through.items():
        owner = flows.network.branches[number].owner
        for end in owner.ends if isinstance(owner, Wire) else ():
            if end.point and end.point.item in flows.network.variant.grounds:
                found[end.point.item].update(dict.fromkeys(consumers))
    return {ground: load_of(flows, consumers) for ground, consumers in found.items()}


def returns(flows: Flows, ground: Ground) -> tuple[Return, ...]:
    """What comes back to a ground, wire by wire."""
    graph = flows.network.graph
    variant = graph.variant
    here = graph.index.get(Point(ground.id, "", 0))
    points = {graph.index[p]: other for other in variant.grounds if (p := Point(other, "", 0)) in graph.index}
    ends_here = frozenset((*points, *graph.sources()[1]))
    found = []
    for wire in variant.wires_of_item(ground.id):
        far = next((end.point for end in wire.ends if end.point and end.point.item != ground.id), None)
        start = graph.index.get(far) if far else None
        if start is None:
            found.append(Return(wire, (), ()))
            continue
        reached = graph.flood([start], _BOLTED, skip=lambda e: e.a in ends_here or e.b in ends_here).order
        stops = {points[n] for n in reached if n in points}
        for node in reached:
            if node in ends_here:
                continue
            ends = (graph.other(edge, node) for edge in graph.around[node] if graph.behaviours[edge] in _BOLTED)
            stops.update(points[end] for end in ends if end in points and end != here)
        devices: dict[str, None] = {}
        for node in reached:
            point = graph.points[node]
            connector = variant.connectors.get(point.item)
            device = connector.device if connector else point.item
            if device in variant.devices:
                devices[device] = None
        found.append(Return(wire, tuple(devices), tuple(sorted(stops))))
    return tuple(found)
