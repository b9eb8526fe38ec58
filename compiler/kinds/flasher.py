"""A flasher unit: 49 in, 49a out (DIN 72552), further terminals for its ground and tell-tales.

Its contact opens and closes while current is drawn: it is `closed`, as it is read unless it is set, or `open`. A share
(`50 %`) is the part of the time for which it is closed.
"""

from __future__ import annotations

from compiler.kinds.base import Kind
from compiler.model.items import Behaviour, Device, Part, Stretch
from compiler.network.behaviours import load_ohm
from compiler.network.elements import Condition, Element, Sort
from compiler.network.world import World

CLOSED, OPEN = "closed", "open"


def _stretches(terminals: tuple[str, ...]) -> tuple[Stretch, ...]:
    ways = (Stretch(terminals[0], terminals[1], Behaviour.CONTACT),)
    if len(terminals) < 3:
        return ways
    return (*ways, Stretch(terminals[0], terminals[2], Behaviour.LOAD))


def _electrics(part: Part, device: Device, world: World) -> tuple[Element, ...]:
    feed, out, *rest = part.terminals
    closed = (Condition(device.id, frozenset((CLOSED,))),)
    ways = (Element(Sort.RESISTANCE, feed, out, world.ohm("contact"), 0.0, Behaviour.CONTACT, closed),)
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
    settings=(CLOSED, OPEN),
    ratings={"power": ("power",), "current": ("current",), "share": ("duty",)},
    as_part=False,
)
