"""The vehicle's battery: terminals `+` and `-`, voltage, capacity, internal resistance."""

from __future__ import annotations

from compiler.kinds.base import Kind, pair
from compiler.model.items import Behaviour

KIND = Kind(
    name="battery",
    title="battery",
    letter="BT",
    terminals=("+", "-"),
    stretches=pair(Behaviour.SOURCE),
    ratings={"voltage": ("voltage",), "charge": ("capacity",), "resistance": ("resistance",)},
    required=("voltage",),
    as_part=False,
)
