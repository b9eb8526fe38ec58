"""A resistor whose value follows temperature; the rating is its value at 20 degrees Celsius."""

from __future__ import annotations

from compiler.kinds.base import Kind, pair
from compiler.model.items import Behaviour
from compiler.network.behaviours import resistor

KIND = Kind(
    name="thermistor",
    title="thermistor",
    letter="RT",
    stretches=pair(Behaviour.RESISTOR),
    electrics=resistor("thermistor"),
    ratings={
        "resistance": ("resistance", "resistance-2"),
        "power": ("power",),
        "temperature": ("temperature",),
    },
)
