"""A direct-current motor: power, or current."""

from __future__ import annotations

from compiler.kinds.base import LOAD_RATINGS, Kind, to_last
from compiler.model.items import Behaviour
from compiler.network.behaviours import loads_to_last

KIND = Kind(
    name="motor",
    title="motor",
    letter="B",
    least=2,
    most=3,
    terminals=("1", "2"),
    stretches=to_last(Behaviour.LOAD),
    electrics=loads_to_last,
    ratings=LOAD_RATINGS,
)
