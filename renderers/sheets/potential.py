"""Where a point lies between supply and ground: the potential it would have were every switch closed.

Each stretch of the vehicle's graph gets a plain resistance (a wire little, a load much), the supply's positive is held at
1 and all metal at 0, and the network is solved. Along every way that current can take the potential falls steadily, so
that a wire drawn from the higher to the lower end makes current run down the page. The values serve drawing only.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping

from compiler.circuit.graph import Graph
from compiler.model.items import Behaviour, Device, Part, Point
from compiler.model.variant import Variant

# Ohms, but for wires and joints, which have 1. Loads are many times that, so that a hundred of them in parallel leave the
# buses near the supply; contacts are not small, because some pairs of them would short the supply if closed together.
_OHMS = {
    Behaviour.CONTACT: 100.0,
    Behaviour.RESISTOR: 2000.0,
    Behaviour.LOAD: 10000.0,
    Behaviour.COIL: 10000.0,
    Behaviour.DRIVER: 100.0,
    Behaviour.BLOCK: 90000.0,
}
_UNKNOWN_INSIDE = 40000.0  # between a terminal and the middle of a device whose insides are not told
_LEAK = 1e-7  # to half the supply, so that what hangs in the air has a potential too


def potentials(variant: Variant) -> Mapping[Point, float]:
    """Potential of every point, 1 at the supply and 0 at ground, rounded to what ordering needs.

    A variant without battery takes what protective devices and buses are fed by for its supply.
    """
    graph = Graph(variant)
    near: list[dict[int, float]] = [{} for _ in graph.points]
    fixed: dict[int, float] = {}

    def join(a: int, b: int, ohms: float) -> None:
        if a != b:
            near[a][b] = near[a].get(b, 0.0) + 1 / ohms
            near[b][a] = near[a][b]

    for edge in graph.edges:
        if edge.behaviour is Behaviour.CONTACT and isinstance(edge.owner, Part):
            join(edge.a, edge.b, _contact(variant.devices[edge.device], edge.owner))
        elif edge.behaviour is Behaviour.SOURCE:
            device = variant.devices.get(edge.device)
            if device is not None and device.kind == "battery":
                fixed[edge.a], fixed[edge.b] = 1.0, 0.0
            else:
                join(edge.a, edge.b, 10000.0)
        else:
            join(edge.a, edge.b, _OHMS.get(edge.behaviour, 1.0))
    for node, point in enumerate(graph.points):
        if point.item.startswith("structure ") or point.item in variant.grounds:
            fixed[node] = 0.0
    if 1.0 not in fixed.values():
        for node, point in enumerate(graph.points):
            found = variant.devices.get(point.item)
            first = found.parts[0].terminals[:1] if found and found.parts and found.is_protective else ()
            if point.item in variant.buses or (point.terminal in first and first):
                fixed.setdefault(node, 1.0)
    for device in variant.devices.values():
        inside = {e for part in device.parts for s in part.stretches for e in (s.a, s.b)}
        loose = [
            graph.index[p] for t in device.terminals if t not in inside and (p := Point(device.id, t)) in graph.index
        ]
        if loose and len(device.terminals) > 1:
            near.append({})
            middle = len(near) - 1
            for t in device.terminals:
                join(graph.index[Point(device.id, t)], middle, _UNKNOWN_INSIDE)
    solved = _solve(near, fixed)
    return {point: round(solved[node], 9) for node, point in enumerate(graph.points)}


def _contact(device: Device, part: Part) -> float:
    """Ohms of a contact. One that is closed at rest counts little where another way leads to the same terminal: so a
    motor that two changeover contacts reverse hangs from both, fed and not grounded through either."""
    rest = device.positions[0] if device.positions else ""
    if rest in part.when and any(
        other.kind == "contact" and rest not in other.when and set(other.terminals) & set(part.terminals)
        for other in device.parts
    ):
        return 100 * _OHMS[Behaviour.CONTACT]
    return _OHMS[Behaviour.CONTACT]


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
        if done[node] or degree != len(links[node]):
            if not done[node]:
                heapq.heappush(heap, (len(links[node]), node))
            continue
        done[node] = True
        row = links[node]
        eliminated.append((node, row))
        pivot = diagonal[node]
        around = list(row.items())
        for index, (a, ga) in enumerate(around):
            share = ga / pivot
            diagonal[a] -= share * ga
            right[a] += share * right[node]
            mine = links[a]
            del mine[node]
            for b, gb in around[index + 1 :]:
                mine[b] = links[b][a] = mine.get(b, 0.0) + share * gb
        for other, _ in around:
            heapq.heappush(heap, (len(links[other]), other))
    values = [fixed.get(n, 0.0) for n in range(count)]
    for node, row in reversed(eliminated):
        values[node] = (right[node] + sum(g * values[other] for other, g in row.items())) / diagonal[node]
    return values
