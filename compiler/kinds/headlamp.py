"""A headlamp with two filaments and a common: main beam, dipped beam, common (DIN 72552: 56a, 56b, 31).

Two powers: the first filament's, then the second's."""

from __future__ import annotations

from compiler.kinds.base import LOAD_RATINGS, Kind, to_last
from compiler.model.items import Behaviour
from compiler.network.behaviours import loads_to_last

KIND = Kind(
    name="headlamp",
    title="two-filament lamp",
    letter="DS",
    terminals=("56a", "56b", "31"),
    least=3,
    most=3,
    stretches=to_last(Behaviour.LOAD),
    electrics=loads_to_last,
    ratings=LOAD_RATINGS,
)
