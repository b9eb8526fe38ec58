"""What contradicts what, and which two faults together would explain it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from compiler.isolation.outcomes import mask_of_answer
from compiler.isolation.rows import Rows
from compiler.isolation.types import Conflict, Event, Observation, Pair, Test, TestKind
from compiler.isolation.words import DEAD, WORKS

if TYPE_CHECKING:
    from compiler.isolation.case import Case
    from compiler.network.columns import Flags

_LARGEST = 5  # facts that are looked at together for the smallest contradiction


def conflict(case: Case, events: Sequence[Event]) -> Conflict:
    """The smallest set of things seen that no single fault explains."""
    facts: list[tuple[str, Flags]] = []
    if case.suspects:
        facts.append((case.complaint.title, np.ones(len(case.suspects), np.bool_)))
        for event in events:
            if event.kind == "observe":
                observation = Observation(event.settings, event.what, event.words)
                facts.append((str(observation), case.agrees(observation)))
            elif event.kind == "answer":
                entry = case.entries[case.board.number[event.what]]
                low, high = float(event.words[0]), float(event.words[-1])
                words = entry.reading(low, high, case.rules("tolerance", "open_ohm")).words
                facts.append((f"{entry.test.place} {words}", mask_of_answer(case, entry, event.words)))
    else:
        rows = case.everything
        facts += [(str(o), case.held(rows, o)[:-1]) for o in case.complaint.observations]
    for size in range(1, min(len(facts), _LARGEST) + 1):
        for chosen in combinations(facts, size):
            if not np.logical_and.reduce([mask for _, mask in chosen]).any():
                head = [case.complaint.title] if case.suspects and chosen[0][0] != case.complaint.title else []
                return Conflict((*head, *(words for words, _ in chosen)))
    return Conflict(tuple(words for words, _ in facts))


def pairs(case: Case, events: Sequence[Event]) -> tuple[Pair, ...]:
    """Pairs of faults that explain all that was seen, the likeliest first; at most as many tried as the rules say.

    A pair is tried where for each thing amiss one of the two explains it, and neither forbids what is well.
    """
    rows, rules = case.everything, case.rules
    facts = [*case.complaint.observations, *_as_observations(case, events)]
    masks = np.asarray([case.held(rows, fact) for fact in facts])
    amiss = ~masks[:, -1]
    agree = masks[:, :-1]
    weight = np.asarray([s.weight for s in rows.suspects[:-1]])
    fits = agree[~amiss].all(axis=0) if (~amiss).any() else np.ones(len(weight), np.bool_)
    useful = np.flatnonzero(fits & agree[amiss].any(axis=0))
    tries: list[tuple[float, int, int]] = []
    for place, one in enumerate(useful.tolist()):
        both = useful[place + 1 :]
        covered = (agree[amiss][:, [one]] | agree[amiss][:, both]).all(axis=0)
        tries += [(-float(weight[one] * weight[other]), one, int(other)) for other in both[covered]]
    tries.sort()
    by_first: dict[int, list[int]] = {}
    for _, one, other in tries[: int(rules("limits", "pairs"))]:
        by_first.setdefault(one, []).append(other)
    found: list[tuple[float, int, int]] = []
    for one, others in by_first.items():
        base = rows.suspects[one]
        seconds = [rows.suspects[n]._replace(number=place) for place, n in enumerate(others)]
        on_top = Rows(rows.ledger, seconds, case.settings, (base.fault,))
        held = np.ones(len(seconds), np.bool_)
        for fact in facts:
            held &= case.held(on_top, fact)
        found += [(float(weight[one] * weight[others[n]]), one, others[n]) for n in np.flatnonzero(held).tolist()]
    found.sort(key=lambda row: (-row[0], row[1], row[2]))
    total = sum(value for value, _, _ in found)
    return tuple(Pair(rows.suspects[a], rows.suspects[b], value / total) for value, a, b in found)


def _as_observations(case: Case, events: Sequence[Event]) -> list[Observation]:
    """What events saw, as far as it can be said of a whole vehicle: a test of one part alone says nothing of others."""
    found = []
    for event in events:
        if event.kind == "observe":
            found.append(Observation(event.settings, event.what, event.words))
        elif event.kind == "answer":
            test = case.entries[case.board.number[event.what]].test
            words = _words(test, float(event.words[0]), float(event.words[-1]))
            if words:
                found.append(Observation(test.settings, test.place, words))
    return found


def _words(test: Test, low: float, high: float) -> tuple[str, ...]:
    if test.kind is TestKind.VOLTS:
        return ("between", f"{max(low, 0):.3f} V", "and", f"{max(high, 0):.3f} V")
    if test.kind is TestKind.LOOK:
        return ("powered",) if low >= WORKS[0] else ("dead",) if high <= DEAD[1] else ("weak",)
    if test.kind is TestKind.CLICK:
        moved = (test.sound.words == "pulls in") == (low == high == 1.0)
        return ("energised",) if moved else ("at-rest",)
    return ()
