"""A heating element: power, current or resistance."""

from __future__ import annotations

from compiler.kinds.base import LOAD_RATINGS, Kind, pair
from compiler.model.items import Behaviour
from compiler.network.behaviours import load

KIND = Kind(
    name="heater",
    title="heating element",
    letter="HR",
    stretches=pair(Behaviour.LOAD),
    electrics=load,
    ratings=LOAD_RATINGS,
)
