"""From clusters of suspects to answers in words, and from answers back to suspects."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from compiler.isolation.board import Alive
from compiler.isolation.catalogue import Entry
from compiler.isolation.policy import IsolationError
from compiler.isolation.types import Choice, Outcome
from compiler.network.faults import FaultSort

if TYPE_CHECKING:
    from compiler.isolation.case import Case
    from compiler.network.columns import Flags

_HAIR = 1e-9


def choice_of(case: Case, number: int, alive: Alive, opened: int) -> Choice:
    """A test with the answers it can give while these suspects are left."""
    board, entry = case.board, case.entries[number]
    open_ohm = case.rules("tolerance", "open_ohm")
    if not alive:
        return Choice(entry.test, (), 0.0, board.cost(number, opened))
    total = float(board.weight[list(alive)].sum())
    clusters = board.clusters(number, alive)
    middle = (float(entry.low[-1]) + float(entry.high[-1])) / 2
    sound = [c.low <= middle <= c.high for c in clusters]
    outcomes = [
        Outcome(
            entry.reading(cluster.low, cluster.high, open_ohm)._replace(low=cluster.low, high=cluster.high),
            good,
            float(board.weight[list(cluster.members)].sum()) / total,
            cluster.members,
        )
        for cluster, good in zip(clusters, sound, strict=True)
    ]
    outcomes.sort(key=lambda o: (not o.good, -o.share, o.reading.low))
    bits = float(board.split(alive).bits[number])
    return Choice(entry.test, tuple(outcomes), bits, board.cost(number, opened))


def mask_of_answer(case: Case, entry: Entry, words: Sequence[str]) -> Flags:
    """Which suspects agree with an answer: a reading, or the lowest and highest of a range. Raises IsolationError."""
    try:
        values = [float(word) for word in words]
    except ValueError as error:
        raise IsolationError(f"{entry.test.id}: {' '.join(words)} is no reading") from error
    low, high = entry.low[:-1], entry.high[:-1]
    if len(values) == 2:
        return np.asarray((low >= values[0] - _HAIR) & (high <= values[1] + _HAIR))
    if len(values) != 1 or np.isnan(values[0]):
        raise IsolationError(f"{entry.test.id}: {' '.join(words)} is no reading")
    return np.asarray((low <= values[0]) & (values[0] <= high)) | _worse(case, entry, values[0])


def _worse(case: Case, entry: Entry, value: float) -> Flags:
    """High resistances that agree when they are more or less than was reckoned with: anything between what a sound
    vehicle reads and twice as far off."""
    middle = (entry.low + entry.high) / 2
    sound, found = float(middle[-1]), middle[:-1]
    bad = np.asarray([s.fault.sort is FaultSort.RESISTANCE for s in case.suspects], dtype=np.bool_)
    differs = (entry.high[:-1] < entry.low[-1]) | (entry.low[:-1] > entry.high[-1])
    far = 2 * found - sound
    inside = (value >= np.minimum(sound, far)) & (value <= np.maximum(sound, far))
    inside &= not entry.low[-1] <= value <= entry.high[-1]
    measured = entry.test.unit in ("V", "ohm")
    return np.asarray(bad & differs & inside & measured)
