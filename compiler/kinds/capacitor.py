"""A capacitor or suppressor: blocks direct current."""

from __future__ import annotations

from compiler.kinds.base import Kind, pair
from compiler.model.items import Behaviour

KIND = Kind(
    name="capacitor",
    title="capacitor",
    letter="C",
    stretches=pair(Behaviour.BLOCK),
    ratings={"capacitance": ("capacitance",), "voltage": ("voltage",)},
)
