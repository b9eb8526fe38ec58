"""A flasher unit: 49 in, 49a out (DIN 72552), further terminals for its ground and tell-tales.

Its contact opens and closes while current is drawn; readings are those of the moments in which it is closed.
"""

from __future__ import annotations

from compiler.kinds.base import Kind
from compiler.model.items import Behaviour, Device, Part, Stretch
from compiler.network.behaviours import load_ohm
from compiler.network.elements import Element, Sort
from compiler.network.world import World


def _stretches(terminals: tuple[str, ...]) -> tuple[Stretch, ...]:
    ways = (Stretch(terminals[0], terminals[1], Behaviour.CONTACT),)
    if len(terminals) < 3:
        return ways
    return (*ways, Stretch(terminals[0], terminals[2], Behaviour.LOAD))


def _electrics(part: Part, device: Device, world: World) -> tuple[Element, ...]:
    feed, out, *rest = part.terminals
    ways = (Element(Sort.RESISTANCE, feed, out, world.ohm("contact"), 0.0, Behaviour.CONTACT),)
    if not rest:
        return ways
    ohm, assumed = load_ohm(part, device, world)
    rated = world.rated_v(part)
    return (*ways, Element(Sort.RESISTANCE, feed, rest[0], ohm, 0.0, Behaviour.LOAD, rated_v=rated, assumed=assumed))


KIND = Kind(
    name="flasher",
    title="flasher unit",
    letter="K",
    terminals=("49", "49a"),
    least=2,
    most=3,
    stretches=_stretches,
    electrics=_electrics,
    ratings={"power": ("power",), "current": ("current",)},
    as_part=False,
)
