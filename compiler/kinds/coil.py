"""A coil inside a relay: resistance or power. `with-diode` and `with-resistor` name what stands across it.

A diode has its cathode at the first terminal: `coil 86 85 with-diode` wants the supply at 86. A second resistance is
that of the resistor."""

from __future__ import annotations

from compiler.kinds.base import Kind, pair
from compiler.model.items import Behaviour
from compiler.network.behaviours import coil

KIND = Kind(
    name="coil",
    title="coil",
    letter="K",
    stretches=pair(Behaviour.COIL),
    electrics=coil,
    ratings={"resistance": ("resistance", "resistance-2"), "power": ("power",), "voltage": ("voltage",)},
    choices={"suppression": ("with-diode", "with-resistor")},
    as_device=False,
)
