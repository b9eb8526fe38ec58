"""A horn."""

from __future__ import annotations

from compiler.kinds.base import LOAD_RATINGS, Kind, pair
from compiler.model.items import Behaviour
from compiler.network.behaviours import load

KIND = Kind(
    name="horn",
    title="horn",
    letter="LS",
    stretches=pair(Behaviour.LOAD),
    electrics=load,
    ratings=LOAD_RATINGS,
)
