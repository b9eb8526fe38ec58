"""A circuit breaker: terminal 1 the feed side, terminal 2 the load side; resets by hand or by itself."""

from __future__ import annotations

from compiler.kinds.base import Kind, pair
from compiler.model.items import Behaviour
from compiler.network.behaviours import protection

KIND = Kind(
    name="breaker",
    title="circuit breaker",
    letter="CB",
    stretches=pair(Behaviour.PROTECTION),
    electrics=protection,
    ratings={"current": ("current",), "resistance": ("resistance",)},
    choices={"reset": ("self-resetting", "hand-reset")},
    required=("current",),
)
