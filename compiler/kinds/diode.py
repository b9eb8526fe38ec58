"""A diode: terminal 1 the anode, terminal 2 the cathode."""

from __future__ import annotations

from compiler.kinds.base import Kind, pair
from compiler.model.items import Behaviour

KIND = Kind(
    name="diode",
    title="diode",
    letter="D",
    stretches=pair(Behaviour.DIODE),
    ratings={"current": ("current",), "voltage": ("voltage",)},
)
