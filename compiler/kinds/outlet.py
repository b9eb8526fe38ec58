"""A socket that somebody plugs a load into; the rating is the largest load allowed."""

from __future__ import annotations

from compiler.kinds.base import LOAD_RATINGS, Kind, pair
from compiler.model.items import Behaviour
from compiler.network.behaviours import load

KIND = Kind(
    name="outlet",
    title="power outlet",
    letter="J",
    stretches=pair(Behaviour.LOAD),
    electrics=load,
    ratings=LOAD_RATINGS,
)
