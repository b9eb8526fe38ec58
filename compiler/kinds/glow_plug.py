"""A glow plug: one terminal, grounded through its thread (`case engine`)."""

from __future__ import annotations

from compiler.kinds.base import LOAD_RATINGS, Kind, pair
from compiler.model.items import Behaviour
from compiler.network.behaviours import load

KIND = Kind(
    name="glow-plug",
    title="glow plug",
    letter="HR",
    terminals=("1", "case"),
    stretches=pair(Behaviour.LOAD),
    electrics=load,
    ratings=LOAD_RATINGS,
)
