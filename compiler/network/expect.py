"""Expectations and complaints held against a settled network: does what was said hold, and what does a meter read."""

from __future__ import annotations

from typing import NamedTuple

from compiler.model.items import Behaviour, Device, Fact, Scenario
from compiler.network.elements import ENERGISED
from compiler.network.meter import Meter
from compiler.network.network import Network
from compiler.network.ohms import ohms
from compiler.network.places import Place, find_place
from compiler.network.settle import Settled, settle
from compiler.network.state import state_of_facts
from compiler.network.world import default
from compiler.units import Quantity, read_quantity

_WORKING = frozenset(("powered", "lit", "runs", "sounds", "energised"))
_DEAD = frozenset(("dead", "out", "stopped", "silent", "at-rest"))


class Outcome(NamedTuple):
    """One fact, held against the network.

    held     whether it is true
    reading  what is read there, in words: `11.93 V`, `floating`, `at rest`, `0.4 of its rated 12 V`
    value    the number behind it in base units, None for floating or a position
    place    what was named
    """

    fact: Fact
    held: bool
    reading: str
    value: float | None
    place: Place


class Ran(NamedTuple):
    """A scenario that was run: the settled network, and what became of each fact."""

    scenario: Scenario
    settled: Settled
    outcomes: tuple[Outcome, ...]


def run_scenario(network: Network, scenario: Scenario) -> Ran:
    """Set what a scenario sets, settle, and look at each of its facts.

    Raises StateError, PlaceError and CircuitError; names that stand for nothing are reported by assembly before.
    """
    settled = settle(network, state_of_facts(network, scenario.set), thorough=True)
    meter = Meter(settled)
    return Ran(scenario, settled, tuple(judge(meter, fact) for fact in scenario.seen))


def judge(meter: Meter, fact: Fact) -> Outcome:
    """Whether a fact holds. Raises PlaceError for a subject that the variant does not have."""
    place = find_place(meter.network, fact.subject)
    first, *rest = fact.words
    if first in ("above", "below", "between"):
        return _compared(meter, fact, place, first, [read_quantity(word) for word in rest if word != "and"])
    return _seen(meter, fact, place, first)


# -- what is measured
# ---------------------------------------------------------------------------------------------------
def _compared(meter: Meter, fact: Fact, place: Place, how: str, bounds: list[Quantity]) -> Outcome:
    dimension = bounds[0].dimension
    if dimension == "current":
        values: list[float | None] = [meter.through(place)]
        unit = "A"
    elif dimension == "resistance":
        values = [_resistance(meter, place)]
        unit = "ohm"
    else:
        values = _volts(meter, place)
        unit = "V"
    limits = [bound.value for bound in bounds]
    worst = _worst(values, how)
    held = bool(values) and all(value is not None and _within(value, how, limits) for value in values)
    if (
        dimension == "voltage"
        and how == "below"
        and values
        and all(v is None or _within(v, how, limits) for v in values)
    ):
        held = True  # nothing is there to be read: a meter shows no voltage
    return Outcome(fact, held, _amount(worst, unit), worst, place)


def _within(value: float, how: str, limits: list[float]) -> bool:
    if how == "above":
        return value > limits[0]
    if how == "below":
        return value < limits[0]
    return min(limits) <= value <= max(limits)


def _worst(values: list[float | None], how: str) -> float | None:
    known = [value for value in values if value is not None]
    if not known or (how != "below" and len(known) < len(values)):
        return None
    return max(known) if how == "below" else min(known)


def _volts(meter: Meter, place: Place) -> list[float | None]:
    """Volts at a place: across a load, at the load side of a fuse, at each half of a cavity, at a bare point."""
    if place.device is not None and (place.part is not None or place.name == place.device.id):
        loads = [load for load in meter.loads(place.device, place.part) if load.rated_v]
        if loads:
            across = [abs(load.volts) for load in loads if load.volts is not None]
            return [max(across)] if across else [None]
        return [meter.volts(place.points[-1])] if place.points else []
    return [meter.volts(point) for point in place.points]


def _resistance(meter: Meter, place: Place) -> float:
    """Ohms with the power off: across a part or device with two terminals, else from the point to ground."""
    network, settled = meter.network, meter.settled
    ends: tuple[int, int] | None = None
    if place.branches and place.device is not None:
        row = network.branches[place.branches[0]]
        ends = (row.a, row.b)
    elif place.points and (reference := network.reference) is not None:
        ends = (network.graph.index[place.points[0]], reference)
    if ends is None:
        return float("inf")
    return ohms(network, *ends, positions=settled.positions, faults=settled.faults)


# -- what is seen
# -------------------------------------------------------------------------------------------------------
def _seen(meter: Meter, fact: Fact, place: Place, word: str) -> Outcome:
    device = place.device
    positions = meter.settled.positions
    whole = device is not None and place.name == device.id
    if word in ("energised", "at-rest") and whole and device is not None and device.id in meter.network.positions:
        position = positions[device.id]
        held = (position == ENERGISED) is (word == "energised")
        return Outcome(fact, held, _coil_words(meter, device, position), None, place)
    share, reading = _share(meter, place, device if place.part is not None or whole else None)
    dead, weak = default("seen", "dead").value, default("seen", "weak").value
    if word in _WORKING:
        held = share >= dead
    elif word in _DEAD:
        held = share < dead
    else:
        held = dead <= share < weak
    return Outcome(fact, held, reading, share, place)


def _share(meter: Meter, place: Place, device: Device | None) -> tuple[float, str]:
    """How much of what it needs a place gets: of a load's rated voltage, or of the supply at a bare terminal; in
    words."""
    if device is not None:
        loads = [load for load in meter.loads(device, place.part) if load.rated_v]
        work = [load for load in loads if meter.network.branches[load.branch].role is Behaviour.LOAD] or loads
        if work:
            best = max(work, key=lambda load: load.share)
            if best.volts is None:
                return 0.0, "no voltage across it"
            return best.share, f"{abs(best.volts):.2f} V across it, rated {best.rated_v:g} V"
        if place.points:
            place = place._replace(points=place.points[-1:])
    values = [meter.volts(point) for point in place.points]
    known = [value for value in values if value is not None]
    worst = min(known) if known and len(known) == len(values) else None
    return (abs(worst) / meter.supply_v() if worst is not None else 0.0), _amount(worst, "V")


def _coil_words(meter: Meter, device: Device, position: str) -> str:
    coils = [coil for coil in meter.network.coils if coil.device == device.id]
    readings = [volts for coil in coils if (volts := meter.across(coil.branch)) is not None]
    words = position.replace("-", " ")
    if device.id in meter.settled.state.set:
        return f"{words}, as set"
    if not readings:
        return f"{words}, no voltage across its coil"
    return f"{words}, {max(map(abs, readings)):.2f} V across its coil"


def _amount(value: float | None, unit: str) -> str:
    if value is None:
        return "floating" if unit == "V" else "nothing"
    if value == float("inf"):
        return "open"
    return f"{value:.3g} {unit}" if unit == "ohm" else f"{value:.2f} {unit}"
