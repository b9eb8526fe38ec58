"""A solenoid or valve."""

from __future__ import annotations

from compiler.kinds.base import LOAD_RATINGS, Kind, pair
from compiler.model.items import Behaviour

KIND = Kind(
    name="solenoid",
    title="solenoid",
    letter="L",
    stretches=pair(Behaviour.LOAD),
    ratings=LOAD_RATINGS,
)
