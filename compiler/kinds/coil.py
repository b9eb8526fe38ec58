"""A coil inside a relay: resistance or power. `with-diode` and `with-resistor` name what stands across it."""

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
    ratings={"resistance": ("resistance",), "power": ("power",), "voltage": ("voltage",)},
    choices={"suppression": ("with-diode", "with-resistor")},
    as_device=False,
)
