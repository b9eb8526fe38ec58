"""A sensor with electronics or a generating element: no direct current is assumed between its terminals.

A resistance, where one is given, stands between the first two."""

from __future__ import annotations

from compiler.kinds.base import Kind
from compiler.model.items import Device, Part
from compiler.network.elements import Element, Sort
from compiler.network.world import World


def _electrics(part: Part, device: Device, world: World) -> tuple[Element, ...]:  # noqa: ARG001 - one form for all kinds
    ohm = part.ratings.get("resistance")
    if not ohm or len(part.terminals) == 1:
        return ()
    return (Element(Sort.RESISTANCE, part.terminals[0], part.terminals[1], ohm),)


KIND = Kind(
    name="sensor",
    title="sensor",
    letter="B",
    least=1,
    most=8,
    electrics=_electrics,
    ratings={"resistance": ("resistance",), "voltage": ("voltage",), "current": ("current",)},
)
