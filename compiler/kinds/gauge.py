"""A gauge: feed, ground, sender terminal (I, G, S), or two terminals in line with its sender.

The movement passes current on to the sender."""

from __future__ import annotations

from compiler.kinds.base import Kind
from compiler.model.items import Behaviour, Stretch


def _stretches(terminals: tuple[str, ...]) -> tuple[Stretch, ...]:
    if len(terminals) == 2:
        return (Stretch(terminals[0], terminals[1], Behaviour.RESISTOR),)
    return (
        Stretch(terminals[0], terminals[1], Behaviour.LOAD),
        *(Stretch(terminals[0], t, Behaviour.RESISTOR) for t in terminals[2:]),
    )


KIND = Kind(
    name="gauge",
    title="gauge",
    letter="M",
    terminals=("I", "G", "S"),
    least=2,
    most=4,
    stretches=_stretches,
    ratings={"resistance": ("resistance",), "power": ("power",), "current": ("current",)},
)
