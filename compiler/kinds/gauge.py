"""A gauge: feed, ground, sender terminal (I, G, S), or two terminals in line with its sender.

The movement passes current on to the sender."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.kinds.base import Kind
from compiler.model.items import Behaviour, Device, Part, Stretch
from compiler.network.behaviours import given_ohm, load_ohm
from compiler.network.elements import Element, Sort
from compiler.network.world import World


def _stretches(terminals: tuple[str, ...]) -> tuple[Stretch, ...]:
    if len(terminals) == 2:
        return (Stretch(terminals[0], terminals[1], Behaviour.RESISTOR),)
    return (
        Stretch(terminals[0], terminals[1], Behaviour.LOAD),
        *(Stretch(terminals[0], t, Behaviour.RESISTOR) for t in terminals[2:]),
    )


def _electrics(part: Part, device: Device, world: World) -> Iterator[Element]:
    feed, *others = part.terminals
    if len(others) == 1:
        ohm, assumed = given_ohm(part, device, world, "gauge")
        yield Element(Sort.RESISTANCE, feed, others[0], ohm, assumed=assumed)
        return
    ground, *senders = others
    ohm, assumed = load_ohm(part, device, world)
    rated = world.rated_v(part)
    yield Element(Sort.RESISTANCE, feed, ground, ohm, 0.0, Behaviour.LOAD, rated_v=rated, assumed=assumed)
    for sender in senders:
        yield Element(
            Sort.RESISTANCE, feed, sender, part.ratings.get("resistance") or world.ohm("gauge"), assumed=assumed
        )


KIND = Kind(
    name="gauge",
    title="gauge",
    letter="M",
    terminals=("I", "G", "S"),
    least=2,
    most=4,
    stretches=_stretches,
    electrics=_electrics,
    ratings={"resistance": ("resistance",), "power": ("power",), "current": ("current",)},
)
