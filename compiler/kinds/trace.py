"""A trace of a printed circuit: joins all its terminals to one potential."""

from __future__ import annotations

from compiler.kinds.base import Kind, star
from compiler.model.items import Behaviour
from compiler.network.behaviours import trace

KIND = Kind(
    name="trace",
    title="printed-circuit trace",
    letter="P",
    least=2,
    most=None,
    stretches=star(Behaviour.JOIN),
    electrics=trace,
    as_device=False,
)
