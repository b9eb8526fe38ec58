"""Sheets that the tool makes of its own accord: power distribution and ground distribution.

Power distribution shows every way from the sources to the feed side of a fuse, breaker or fusible link, with an arrow for
each wire that leaves one on its load side. Ground distribution shows every ground point with all wires that come to it,
as far as the components, which are named by arrows.
"""

from __future__ import annotations

from collections.abc import Mapping

from compiler.circuit.graph import Graph
from compiler.model.items import Behaviour, Point, Wire
from compiler.model.variant import Variant
from renderers.sheets.plan import SheetPlan
from renderers.sheets.potential import CARRY
from renderers.sheets.units import Content

POWER, GROUND = "P", "G"


def power_sheet(variant: Variant, potential: Mapping[Point, float]) -> tuple[SheetPlan, Content] | None:
    """The power distribution sheet, or None for a variant without wired protective devices."""
    guards = [d for d in variant.devices.values() if d.is_protective and d.parts and variant.wires_of_item(d.id)]
    kept = _feeding(Graph(variant), potential)
    cuts: list[tuple[Wire, int]] = []
    for device in guards:
        for terminal in device.terminals:
            point = Point(device.id, terminal, 0)
            cuts += [(w, 0 if w.a.point == point else 1) for w in variant.wires_at(point) if w.id not in kept]
    wires = tuple(w for w in variant.wires if w.id in kept)
    if not wires and not cuts:
        return None
    plan = SheetPlan(POWER, "Power distribution", "", wires, tuple(d.id for d in guards))
    return plan, Content(wires, tuple(dict.fromkeys(cuts)), plan.components)


def _feeding(graph: Graph, potential: Mapping[Point, float]) -> set[str]:
    """Wires on the ways from a source to the feed side of a protective device: found by going up from there."""
    level = [potential.get(point, 0.0) for point in graph.points]
    todo = [max(e.a, e.b, key=lambda n: level[n]) for e in graph.edges if e.behaviour is Behaviour.PROTECTION]
    seen = set(todo)
    kept: set[str] = set()
    while todo:
        node = todo.pop()
        for number in graph.around[node]:
            edge = graph.edges[number]
            other = edge.b if edge.a == node else edge.a
            if edge.behaviour not in CARRY or level[other] < level[node]:
                continue
            if isinstance(edge.owner, Wire):
                kept.add(edge.owner.id)
            if other not in seen:
                seen.add(other)
                todo.append(other)
    return kept


def ground_sheet(variant: Variant) -> tuple[SheetPlan, Content] | None:
    """The ground distribution sheet, or None for a variant without grounds."""
    if not variant.grounds:
        return None
    wires: dict[str, Wire] = {}
    cuts: list[tuple[Wire, int]] = []
    seen: set[Point] = set()
    todo = [Point(ground, "", 0) for ground in variant.grounds]
    while todo:
        point = todo.pop()
        if point in seen:
            continue
        seen.add(point)
        connector = variant.connectors.get(point.item)
        if connector is not None and connector.is_inline:
            todo.append(point._replace(half=1 - point.half))
        for wire in variant.wires_at(point):
            side = 0 if wire.a.point == point else 1
            far = wire.ends[1 - side].point
            if far is not None and (far.item in variant.grounds or _passes(variant, far)):
                wires[wire.id] = wire
                todo.append(far)
            else:
                cuts.append((wire, side))
    plan = SheetPlan(GROUND, "Ground distribution", "", tuple(wires.values()), ())
    return plan, Content(plan.wires, tuple(dict.fromkeys(cuts)), ())


def _passes(variant: Variant, point: Point) -> bool:
    """Whether wires meet at a point of their own accord: a splice, a bus, a cavity of an in-line connector."""
    connector = variant.connectors.get(point.item)
    return (
        point.item in variant.splices or point.item in variant.buses or (connector is not None and connector.is_inline)
    )
