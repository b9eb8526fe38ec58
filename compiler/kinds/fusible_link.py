"""A fusible link: a length of thinner wire that melts first. Size and length; terminal 1 the feed side."""

from __future__ import annotations

from compiler.kinds.base import Kind, pair
from compiler.model.items import Behaviour, Device, Part
from compiler.network.behaviours import protection
from compiler.network.elements import Element, Sort
from compiler.network.world import World


def _electrics(part: Part, device: Device, world: World) -> tuple[Element, ...]:
    """The conductor by size and length; one of unknown size is taken as a fuse of its rating."""
    if device.size is None:
        return protection(part, device, world)
    length = part.ratings.get("length")
    assumed = length is None
    if length is None:
        length = world.value("protection", "link_length_m")
        world.assume(device, part, f"{length:.2g} m", "its length is not given")
    ohm = world.conductor_ohm(device.size, length)
    ends = (part.terminals[0], part.terminals[1])
    return (Element(Sort.RESISTANCE, *ends, ohm, 0.0, Behaviour.PROTECTION, assumed=assumed),)


KIND = Kind(
    name="fusible-link",
    title="fusible link",
    letter="FL",
    stretches=pair(Behaviour.PROTECTION),
    electrics=_electrics,
    ratings={"size": ("size",), "length": ("length",), "current": ("current",)},
    words=("colour",),
)
