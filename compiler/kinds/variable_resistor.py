"""A variable resistor: 1 and 3 are the ends of the track, 2 is the wiper; with two terminals a rheostat."""

from __future__ import annotations

from compiler.kinds.base import Kind, star
from compiler.model.items import Behaviour

KIND = Kind(
    name="variable-resistor",
    title="variable resistor",
    letter="R",
    least=2,
    most=3,
    stretches=star(Behaviour.RESISTOR),
    ratings={"resistance": ("resistance", "resistance-2"), "power": ("power",)},
)
