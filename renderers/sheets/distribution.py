"""Sheets that the tool makes of its own accord: power distribution and ground distribution.

Power distribution shows every way from the sources to the feed side of a fuse, breaker or fusible link, with an arrow for
each wire that leaves one on its load side. Ground distribution shows every ground point with all wires that come to it,
as far as the components, which are named by arrows.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from compiler.model.items import Device, Point, Wire
from compiler.model.variant import Variant
from renderers.sheets.plan import SheetPlan, unit_of
from renderers.sheets.units import Content

POWER, GROUND = "P", "G"
_CARRIERS = ("alternator", "battery", "diode", "relay", "switch")


def power_sheet(variant: Variant, potential: Mapping[Point, float]) -> tuple[SheetPlan, Content] | None:
    """The power distribution sheet, or None for a variant without protective devices."""
    guards = [d for d in variant.devices.values() if d.is_protective and d.parts]
    if not guards:
        return None
    goals = {d.bus if d.bus in variant.buses else d.id for d in guards}
    ways = list(_downward(variant, potential))
    leads = set(goals)
    grown = True
    while grown:
        grown = False
        for upper, lower, _ in ways:
            if lower in leads and upper not in leads and _carries(variant.devices.get(upper)):
                leads.add(upper)
                grown = True
    kept = {wire.id for upper, lower, wire in ways if lower in leads and upper in leads}
    cuts: list[tuple[Wire, int]] = []
    for device in guards:
        for terminal in device.terminals:
            for wire in variant.wires_at(Point(device.id, terminal, 0)):
                if wire.id not in kept:
                    side = 0 if wire.a.point == Point(device.id, terminal, 0) else 1
                    cuts.append((wire, side))
    wires = tuple(w for w in variant.wires if w.id in kept)
    plan = SheetPlan(POWER, "Power distribution", "", wires, tuple(d.id for d in guards), ())
    return plan, Content(wires, tuple(dict.fromkeys(cuts)), plan.components)


def _carries(device: Device | None) -> bool:
    """Whether current passes through a unit on its way to others: all but loads and modules."""
    return device is None or device.is_protective or device.kind in _CARRIERS


def _downward(variant: Variant, potential: Mapping[Point, float]) -> Iterator[tuple[str, str, Wire]]:
    """Upper unit, lower unit and wire, for every wire whose both ends are known."""
    for wire in variant.wires:
        a, b = wire.a.point, wire.b.point
        if a is not None and b is not None:
            if potential.get(a, 0.0) < potential.get(b, 0.0):
                a, b = b, a
            yield unit_of(variant, a), unit_of(variant, b), wire


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
    plan = SheetPlan(GROUND, "Ground distribution", "", tuple(wires.values()), (), ())
    return plan, Content(plan.wires, tuple(dict.fromkeys(cuts)), ())


def _passes(variant: Variant, point: Point) -> bool:
    """Whether wires meet at a point of their own accord: a splice, a bus, a cavity of an in-line connector."""
    connector = variant.connectors.get(point.item)
    return point.item in variant.splices or point.item in variant.buses or (connector is not None and connector.is_inline)
