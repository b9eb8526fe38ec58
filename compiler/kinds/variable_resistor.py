"""A variable resistor: 1 and 3 are the ends of the track, 2 is the wiper; with two terminals a rheostat.

Readings are those with the wiper in the middle."""

from __future__ import annotations

from compiler.kinds.base import Kind, star
from compiler.model.items import Behaviour, Device, Part
from compiler.network.behaviours import given_ohm
from compiler.network.elements import Element, Sort
from compiler.network.world import World


def _electrics(part: Part, device: Device, world: World) -> tuple[Element, ...]:
    ohm, assumed = given_ohm(part, device, world, "sender")
    first, wiper, *last = part.terminals
    return tuple(Element(Sort.RESISTANCE, end, wiper, ohm / 2, assumed=assumed) for end in (first, *last))


KIND = Kind(
    name="variable-resistor",
    title="variable resistor",
    letter="R",
    least=2,
    most=3,
    stretches=star(Behaviour.RESISTOR),
    electrics=_electrics,
    ratings={"resistance": ("resistance", "resistance-2"), "power": ("power",)},
)
