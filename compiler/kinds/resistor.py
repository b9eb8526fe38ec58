"""A resistor that current passes on its way (dropping or ballast resistor)."""

from __future__ import annotations

from compiler.kinds.base import Kind, pair
from compiler.model.items import Behaviour
from compiler.network.behaviours import resistor

KIND = Kind(
    name="resistor",
    title="resistor",
    letter="R",
    stretches=pair(Behaviour.RESISTOR),
    electrics=resistor("resistor"),
    ratings={
        "resistance": ("resistance", "resistance-2"),
        "power": ("power",),
        "temperature": ("temperature",),
    },
)
