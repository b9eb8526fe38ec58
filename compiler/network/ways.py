"""Which rows of a network are a way for current, and which do its work: shared by all searches over a network."""

from __future__ import annotations

from compiler.circuit.graph import FEEDING
from compiler.model.items import Behaviour

# Over everything but loads and coils, and not through the vehicle's metal.
WAY = (FEEDING - {Behaviour.STRUCTURE}) | {Behaviour.PROTECTION}
WORK = frozenset({Behaviour.LOAD, Behaviour.COIL})
NO_WAY_OHM = 20_000.0  # a module's input is no way for current
