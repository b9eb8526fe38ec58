"""A light-emitting diode lamp with its resistor."""

from __future__ import annotations

from compiler.kinds.base import LOAD_RATINGS, Kind, pair
from compiler.model.items import Behaviour

KIND = Kind(
    name="led",
    title="light-emitting diode lamp",
    letter="DS",
    stretches=pair(Behaviour.LOAD),
    ratings=LOAD_RATINGS,
)
