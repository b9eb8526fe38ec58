"""A variable resistor moved by a level, pressure or temperature, read by a gauge."""

from __future__ import annotations

from compiler.kinds.base import Kind, pair
from compiler.model.items import Behaviour
from compiler.network.behaviours import resistor

KIND = Kind(
    name="sender",
    title="sender",
    letter="R",
    stretches=pair(Behaviour.RESISTOR),
    electrics=resistor("sender"),
    ratings={
        "resistance": ("resistance", "resistance-2"),
        "power": ("power",),
        "temperature": ("temperature",),
    },
)
