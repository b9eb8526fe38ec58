"""A diode: terminal 1 the anode, terminal 2 the cathode. A voltage is its forward voltage (0.7 V when not given)."""

from __future__ import annotations

from compiler.kinds.base import Kind, pair
from compiler.model.items import Behaviour, Device, Part
from compiler.network.elements import Element, Sort
from compiler.network.world import World


def _electrics(part: Part, device: Device, world: World) -> tuple[Element, ...]:  # noqa: ARG001 - one form for all kinds
    volts = part.ratings.get("voltage", world.value("diode", "forward_v"))
    anode, cathode = part.terminals
    return (Element(Sort.DIODE, anode, cathode, world.ohm("diode"), volts, Behaviour.DIODE),)


KIND = Kind(
    name="diode",
    title="diode",
    letter="D",
    stretches=pair(Behaviour.DIODE),
    electrics=_electrics,
    ratings={"current": ("current",), "voltage": ("voltage",)},
)
