"""The vehicle's battery: terminals `+` and `-`, voltage, capacity, internal resistance.

Without a resistance, one that suits its capacity is taken; 0 ohm makes it ideal."""

from __future__ import annotations

from compiler.kinds.base import Kind, pair
from compiler.model.items import Behaviour, Device, Part
from compiler.network.elements import Element, Sort
from compiler.network.world import World


def _electrics(part: Part, device: Device, world: World) -> tuple[Element, ...]:
    volts = part.ratings.get("voltage") or world.supply_v
    ohm = part.ratings.get("resistance")
    assumed = ohm is None
    if ohm is None:
        capacity = part.ratings.get("capacity") or world.value("battery", "capacity_ah")
        ohm = world.value("battery", "ohm_ah") / capacity * world.nominal_v / 12
        world.assume(device, part, f"{ohm * 1000:.3g} mohm", "its internal resistance is not given")
    plus, minus = part.terminals
    return (Element(Sort.SOURCE, plus, minus, ohm, volts, Behaviour.SOURCE, powered=True, assumed=assumed),)


KIND = Kind(
    name="battery",
    title="battery",
    letter="BT",
    terminals=("+", "-"),
    stretches=pair(Behaviour.SOURCE),
    electrics=_electrics,
    ratings={"voltage": ("voltage",), "charge": ("capacity",), "resistance": ("resistance",)},
    required=("voltage",),
    as_part=False,
)
