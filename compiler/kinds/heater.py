"""A heating element: power, current or resistance."""

from __future__ import annotations

from compiler.kinds.base import LOAD_RATINGS, Kind, pair
from compiler.model.items import Behaviour

KIND = Kind(
    name="heater",
    title="heating element",
    letter="HR",
    stretches=pair(Behaviour.LOAD),
    ratings=LOAD_RATINGS,
)
