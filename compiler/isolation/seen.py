"""Observations held against the rows: which suspects could be so that this was seen. Tolerances are always in the
suspect's favour, so that nothing seen within them clears the true fault. The words mean what they mean in
`compiler.network.expect`, but who says `lit` or `runs` has not seen it `weak`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from compiler.isolation.policy import IsolationError, Rules
from compiler.isolation.rows import Rows, loads_in
from compiler.isolation.types import Observation
from compiler.model.items import Point
from compiler.network.elements import ENERGISED
from compiler.network.meter import Meter
from compiler.network.ohms import ohms
from compiler.network.places import Place, find_place
from compiler.network.world import default
from compiler.units import Quantity, read_quantity

if TYPE_CHECKING:
    from compiler.network.columns import Flags, Reals
    from compiler.network.network import Network

WORKING = frozenset(("powered", "lit", "runs", "sounds", "energised"))
DEAD = frozenset(("dead", "out", "stopped", "silent", "at-rest"))
OPENS = "opens"
"""A word of our own, for fuses: it opens again when it is renewed."""
WORDS = WORKING | DEAD | {"weak", OPENS}
_AMPERES, _AMPERES_SHARE = 0.2, 0.1


def place_of(network: Network, subject: str) -> Place:
    """The place that a subject names. Raises PlaceError."""
    return find_place(network, subject)


def nodes_of(network: Network, subject: str) -> list[int]:
    """The nodes that an observation of a subject looks at. Raises PlaceError."""
    place = place_of(network, subject)
    found = [node for point in place.points if (node := network.node(point)) is not None]
    for branch in place.branches:
        found += [network.branches[branch].a, network.branches[branch].b]
    if place.device is not None and place.name == place.device.id:
        for coil in network.coils:
            if coil.device == place.device.id:
                found += [network.branches[coil.branch].a, network.branches[coil.branch].b]
    return list(dict.fromkeys(found))


def could_be(rows: Rows, observation: Observation, rules: Rules) -> Flags:
    """Which suspects agree with an observation. Raises PlaceError, and IsolationError for words that say nothing."""
    network = rows.network
    place = place_of(network, observation.subject)
    first, *rest = observation.words
    if first in ("above", "below", "between"):
        try:
            bounds = [read_quantity(word) for word in rest if word != "and"]
        except ValueError as error:
            raise IsolationError(f"{observation}: {error}") from error
        if len(bounds) != 1 + (first == "between"):
            raise IsolationError(
                f"{observation}: `{first}` takes {'two readings' if first == 'between' else 'a reading'}"
            )
        return _compared(rows, observation, place, first, bounds, rules)
    if first not in WORDS:
        raise IsolationError(
            f"{observation}: `{first}` is nothing that can be seen; it is one of {', '.join(sorted(WORDS))}"
        )
    if first == OPENS:
        fuses = [n for n in place.branches if n in network.ratings]
        if not fuses:
            raise IsolationError(f"{observation.subject} is no fuse with a rating, so it does not open")
        return np.asarray(np.isin(rows.opened, fuses))
    return _seen(rows, observation, place, first, rules)


def _seen(rows: Rows, observation: Observation, place: Place, word: str, rules: Rules) -> Flags:
    network, settings = rows.network, observation.settings
    device = place.device
    whole = device is not None and place.name == device.id
    if word in ("energised", "at-rest") and whole and device is not None and device.id in network.positions:
        if device.id in network.moved and device.id not in dict(settings):
            return np.asarray(rows.energised(settings, device.id) == (word == "energised"))
        rest = network.positions[device.id][0]
        held = (dict(settings).get(device.id, rest) == ENERGISED) is (word == "energised")
        return np.full(rows.count, held)
    share = share_of(rows, observation.settings, place)
    slack = rules("tolerance", "share")
    dead, weak = default("seen", "dead").value, default("seen", "weak").value
    if word in WORKING:
        return share + slack >= weak
    if word in DEAD:
        return share - slack < dead
    return (share + slack >= dead) & (share - slack < weak)


def _looked_at(network: Network, place: Place) -> tuple[Sequence[int], Sequence[Point]]:
    """What a person looks at: the loads of a device or part; of one without loads its last point; else every point."""
    if place.device is not None and (place.part is not None or place.name == place.device.id):
        return loads_in(network, place.branches), place.points[-1:]
    return (), place.points


def share_of(rows: Rows, settings: tuple[tuple[str, str], ...], place: Place) -> Reals:
    """How much of what it needs a place gets: of a load's rated voltage, or of the supply at a bare terminal."""
    network = rows.network
    loads, points = _looked_at(network, place)
    if loads:
        return np.asarray(np.max([rows.share(settings, n) for n in loads], axis=0))
    if not points:
        raise IsolationError(f"{place.name}: nothing is to be seen there")
    volts = np.abs([rows.volts(settings, network.graph.index[p]) for p in points])
    return np.asarray(volts.min(axis=0) / Meter(rows.sound(settings)).supply_v())


def _compared(
    rows: Rows, observation: Observation, place: Place, how: str, bounds: Sequence[Quantity], rules: Rules
) -> Flags:
    settings = observation.settings
    limits = sorted(bound.value for bound in bounds)
    dimension = bounds[0].dimension
    if dimension == "current":
        if not place.branches:
            raise IsolationError(f"{observation.subject}: no current runs through a bare point")
        values = np.max([rows.amperes(settings, n) for n in place.branches], axis=0)[None]
        slack = _AMPERES + _AMPERES_SHARE * values
    elif dimension == "resistance":
        values = _ohms(rows, settings, place)[None]
        slack = rules("tolerance", "ohms") + rules("tolerance", "ohms_share") * np.minimum(values, 1e6)
    elif dimension == "voltage":
        values = _volts(rows, settings, place)
        slack = rules("tolerance", "volts") + rules("tolerance", "volts_share") * np.abs(values)
    else:
        raise IsolationError(f"{observation}: a reading is in volts, amperes or ohms")
    if how == "above":
        held = values + slack > limits[0]
    elif how == "below":
        held = values - slack < limits[0]
    else:
        held = (values + slack >= limits[0]) & (values - slack <= limits[1])
    return np.asarray(held.all(axis=0))


def _volts(rows: Rows, settings: tuple[tuple[str, str], ...], place: Place) -> Reals:
    network = rows.network
    loads, points = _looked_at(network, place)
    if loads:
        found = [rows.share(settings, n) * network.branches[n].element.rated_v for n in loads]
        return np.asarray(np.max(found, axis=0))[None]
    if not points:
        raise IsolationError(f"{place.name}: no probe reaches it")
    return np.asarray([rows.volts(settings, network.graph.index[p]) for p in points])


def _ohms(rows: Rows, settings: tuple[tuple[str, str], ...], place: Place) -> Reals:
    """Ohms with the power off: across a part, else from the point to ground."""
    network = rows.network
    if place.branches and place.device is not None:
        ends = (network.branches[place.branches[0]].a, network.branches[place.branches[0]].b)
    elif place.points and network.reference is not None:
        ends = (network.graph.index[place.points[0]], network.reference)
    else:
        raise IsolationError(f"{place.name}: no probe reaches it")
    positions = rows.sound(settings).positions
    return np.asarray([ohms(network.whole, *ends, positions, (*rows.base, s.fault)) for s in rows.suspects])
