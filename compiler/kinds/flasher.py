"""A flasher unit: 49 in, 49a out (DIN 72552), further terminals for its ground and tell-tales.

Its contact opens and closes while current is drawn; a search takes it as a contact that can close.
"""

from __future__ import annotations

from compiler.kinds.base import Kind
from compiler.model.items import Behaviour, Stretch


def _stretches(terminals: tuple[str, ...]) -> tuple[Stretch, ...]:
    ways = (Stretch(terminals[0], terminals[1], Behaviour.CONTACT),)
    if len(terminals) < 3:
        return ways
    return (*ways, Stretch(terminals[0], terminals[2], Behaviour.LOAD))


KIND = Kind(
    name="flasher",
    title="flasher unit",
    letter="K",
    terminals=("49", "49a"),
    least=2,
    most=3,
    stretches=_stretches,
    ratings={"power": ("power",), "current": ("current",)},
    as_part=False,
)
