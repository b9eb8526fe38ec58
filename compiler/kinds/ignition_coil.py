"""An ignition coil: 15 the feed, 1 the switched side (DIN 72552); its high-voltage side is not wiring of this
manual."""

from __future__ import annotations

from compiler.kinds.base import LOAD_RATINGS, Kind, pair
from compiler.model.items import Behaviour
from compiler.network.behaviours import load

KIND = Kind(
    name="ignition-coil",
    title="ignition coil",
    letter="T",
    terminals=("15", "1"),
    stretches=pair(Behaviour.LOAD),
    electrics=load,
    ratings=LOAD_RATINGS,
)
