"""A light-emitting diode lamp with its resistor: terminal 1 positive. It conducts one way only."""

from __future__ import annotations

from compiler.kinds.base import LOAD_RATINGS, Kind, pair
from compiler.model.items import Behaviour, Device, Part
from compiler.network.behaviours import load_ohm
from compiler.network.elements import Element, Sort
from compiler.network.world import World


def _electrics(part: Part, device: Device, world: World) -> tuple[Element, ...]:
    """The diode's forward voltage, then as much resistance as makes the rating true at the rated voltage."""
    ohm, assumed = load_ohm(part, device, world)
    rated, forward = world.rated_v(part), world.value("diode", "led_v")
    forward = min(forward, rated / 2)
    ohm *= (rated - forward) / rated
    ends = (part.terminals[0], part.terminals[1])
    return (Element(Sort.DIODE, *ends, ohm, forward, Behaviour.LOAD, rated_v=rated, assumed=assumed),)


KIND = Kind(
    name="led",
    title="light-emitting diode lamp",
    letter="DS",
    stretches=pair(Behaviour.LOAD),
    electrics=_electrics,
    ratings=LOAD_RATINGS,
)
