"""Where a point lies between supply and ground: the potential it would have were every switch closed.

Points on the ways from the battery to the feed sides of fuses, breakers and links come first, in the order in which a
supply reaches them. All of these are then held at 1 and all metal at 0, each stretch of the rest gets a plain resistance
(a wire little, a load much), and the network is solved. Along every way that current can take the potential falls
steadily, so a wire drawn from its higher to its lower end makes current run down the page. The values serve drawing only.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping

from compiler.circuit.graph import PLAIN, Edge, Graph
from compiler.model.items import Behaviour, Device, Part, Point
from compiler.model.variant import Variant

# Ohms; wires and joints have 1. Loads are many times that, so that a hundred of them in parallel do not drain the wires
# before them; contacts are not small, because some pairs of them would short the supply if both were closed.
_OHMS = {
    Behaviour.CONTACT: 100.0,
    Behaviour.RESISTOR: 2000.0,
    Behaviour.LOAD: 10000.0,
    Behaviour.COIL: 10000.0,
    Behaviour.SOURCE: 10000.0,
    Behaviour.DRIVER: 100.0,
    Behaviour.BLOCK: 90000.0,
}
_UNKNOWN_INSIDE = 40000.0  # between a terminal and the middle of a device whose insides are not told
_LEAK = 1e-7  # to half the supply, so that what hangs in the air has a potential too

CARRY = PLAIN - {Behaviour.STRUCTURE} | {Behaviour.PROTECTION, Behaviour.CONTACT, Behaviour.DIODE}
"""What a supply passes on its way to a protective device."""


def potentials(variant: Variant) -> Mapping[Point, float]:
    """Potential of every point: 0 at ground, up to 1 beyond protective devices, 1 to 2 before them (2 at the battery).

    A variant without battery takes what protective devices and buses are fed by for its supply.
    """
    graph = Graph(variant)
    supply = _supply(graph)
    fixed = dict.fromkeys(supply, 1.0)
    near: list[dict[int, float]] = [{} for _ in graph.points]

    def join(a: int, b: int, ohms: float) -> None:
        if a != b:
            near[a][b] = near[a].get(b, 0.0) + 1 / ohms
            near[b][a] = near[a][b]

    for edge in graph.edges:
        join(edge.a, edge.b, _ohms(variant, edge))
        if edge.behaviour is Behaviour.SOURCE and variant.devices[edge.device].kind == "battery":
            fixed[edge.a], fixed[edge.b] = 1.0, 0.0
    for node, point in enumerate(graph.points):
        if point.item.startswith("structure ") or point.item in variant.grounds:
            fixed[node] = 0.0
    for device in variant.devices.values():
        inside = {e for part in device.parts for s in part.stretches for e in (s.a, s.b)}
        if len(device.terminals) > 1 and any(t not in inside for t in device.terminals):
            near.append({})
            for t in device.terminals:
                join(graph.index[Point(device.id, t)], len(near) - 1, _UNKNOWN_INSIDE)
    solved = _solve(near, fixed)
    return {
        point: 1 + 1 / (1 + supply[node]) if node in supply else round(solved[node], 9)
        for node, point in enumerate(graph.points)
    }


def _supply(graph: Graph) -> dict[int, int]:
    """Nodes on the ways from a battery to the feed sides of protective devices, with their distance from it."""
    devices = graph.variant.devices
    kinds = {e.a: devices[e.device].kind for e in graph.edges if e.behaviour is Behaviour.SOURCE}
    starts = [n for n, kind in kinds.items() if kind == "battery"] or list(kinds)
    reached = graph.flood(starts, CARRY)
    depth: dict[int, int] = {}
    for node in reached.order:
        number = reached.by[node]
        if number < 0:
            depth[node] = 0
        else:
            edge = graph.edges[number]
            depth[node] = depth[edge.a if edge.b == node else edge.b] + 1
    found: dict[int, int] = {}
    for edge in graph.edges:
        if edge.behaviour is not Behaviour.PROTECTION:
            continue
        if edge.a not in depth and edge.b not in depth:
            found.setdefault(edge.a, 0)  # nothing feeds it: a sheet of a vehicle without its battery
            continue
        node = min((n for n in (edge.a, edge.b) if n in depth), key=lambda n: (depth[n], n))
        while node not in found:
            found[node] = depth[node]
            number = reached.by[node]
            if number >= 0:
                way = graph.edges[number]
                node = way.a if way.b == node else way.b
    return found


def _ohms(variant: Variant, edge: Edge) -> float:
    """Ohms of a stretch. A contact that is closed at rest counts little where another way leads to the same terminal: so
    a motor that two changeover contacts reverse hangs from both, fed and not grounded through either."""
    ohms = _OHMS.get(edge.behaviour, 1.0)
    if edge.behaviour is Behaviour.CONTACT and isinstance(edge.owner, Part):
        device, part = variant.devices[edge.device], edge.owner
        if _rests(device, part) and any(
            other.kind == "contact" and not _rests(device, other) and set(other.terminals) & set(part.terminals)
            for other in device.parts
        ):
            return 100 * ohms
    return ohms


def _rests(device: Device, part: Part) -> bool:
    return bool(device.positions) and device.positions[0] in part.when


def _solve(near: list[dict[int, float]], fixed: Mapping[int, float]) -> list[float]:
    """Node potentials of a resistive network by elimination, nodes of least degree first (a vehicle is nearly a tree)."""
    count = len(near)
    diagonal = [sum(row.values()) + _LEAK for row in near]
    right = [0.5 * _LEAK] * count
    links = [dict(row) for row in near]
    for node, value in fixed.items():
        for other, conductance in links[node].items():
            links[other].pop(node, None)
            right[other] += conductance * value
        links[node] = {}
    heap = [(len(links[n]), n) for n in range(count) if n not in fixed]
    heapq.heapify(heap)
    done = [n in fixed for n in range(count)]
    eliminated: list[tuple[int, dict[int, float]]] = []
    while heap:
        degree, node = heapq.heappop(heap)
        if done[node]:
            continue
        if degree != len(links[node]):
            heapq.heappush(heap, (len(links[node]), node))
            continue
        done[node] = True
        row = links[node]
        eliminated.append((node, row))
        around = list(row.items())
        for index, (a, ga) in enumerate(around):
            share = ga / diagonal[node]
            diagonal[a] -= share * ga
            right[a] += share * right[node]
            mine = links[a]
            del mine[node]
            for b, gb in around[index + 1 :]:
                mine[b] = links[b][a] = mine.get(b, 0.0) + share * gb
            heapq.heappush(heap, (len(mine), a))
    values = [fixed.get(n, 0.0) for n in range(count)]
    for node, row in reversed(eliminated):
        values[node] = (right[node] + sum(g * values[other] for other, g in row.items())) / diagonal[node]
    return values
