"""Why a part is out of suspicion, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from compiler.isolation.outcomes import mask_of_answer
from compiler.isolation.seen import DEAD, WORKING
from compiler.isolation.types import Cleared, Event, Observation, Suspect, TestKind
from compiler.isolation.words import told
from compiler.model.items import Behaviour
from compiler.network.places import find_place

if TYPE_CHECKING:
    from compiler.isolation.case import Case
    from compiler.network.columns import Flags


_RANK = {kind: n for n, kind in enumerate("fuse link contact output ground case coil load lamp terminal".split())}


class _Step(NamedTuple):
    """Something learnt: in words, which suspects agree with it, and the branches that it shows to be whole."""

    by: str
    mask: Flags
    ways: frozenset[int]


def cleared(case: Case, events: Sequence[Event]) -> tuple[Cleared, ...]:
    """The parts that could have brought the complaint about and did not, each with what cleared it, in order."""
    rows, complaint = case.everything, case.complaint
    bad = [o for o in complaint.observations if not case.held(rows, o)[-1]] or list(complaint.observations)
    left = np.ones(rows.count, np.bool_)
    left[-1] = False
    for observation in bad:
        left &= case.held(rows, observation)
    found: list[Cleared] = []
    steps = [_observed(case, o) for o in complaint.observations if o not in bad]
    found += _out(rows.suspects, left, steps)
    alive = np.ones(len(case.suspects), np.bool_)
    found += _out(case.suspects, alive, list(_learnt(case, events)))
    return tuple(found)


def _out(suspects: Sequence[Suspect], left: Flags, steps: Sequence[_Step]) -> Iterator[Cleared]:
    """Parts that lose their last suspect at a step. Changes `left`."""
    parts: dict[str, list[int]] = {}
    for n in np.flatnonzero(left).tolist():
        parts.setdefault(suspects[n].part, []).append(n)
    for step in steps:
        left &= step.mask
        out = [part for part, numbers in parts.items() if not left[numbers].any()]
        for part in sorted(out, key=lambda part: _RANK.get(suspects[parts[part][0]].kind.split("-")[0], len(_RANK))):
            first = suspects[parts.pop(part)[0]]
            yield Cleared(part, first.item, _reason(step, first), step.by)


def _reason(step: _Step, suspect: Suspect) -> str:
    if suspect.fault.branch in step.ways:
        return f"{step.by}, and its current runs through {suspect.part}: that is whole."
    return f"{step.by}; it would not with {suspect.says}."


def _observed(case: Case, observation: Observation) -> _Step:
    mask = case.held(case.everything, observation)
    return _Step(_said(observation), mask, _ways(case, observation))


def _said(observation: Observation) -> str:
    words = " ".join(observation.words).replace("-", " ")
    measured = observation.words[0] in ("above", "below", "between")
    return f"{observation.subject} {'reads' if measured else 'is'} {words}".replace(" is runs", " runs").replace(
        " is sounds", " sounds"
    )


def _ways(case: Case, observation: Observation) -> frozenset[int]:
    """The branches that carry the current of a load that was seen to work."""
    if observation.words[0] not in WORKING - DEAD:
        return frozenset()
    branches = set(find_place(case.network, observation.subject).branches)
    return frozenset(
        n for c in case.bench.flows.consumers if c.branch in branches for n in (*c.feed, *c.back, c.branch)
    )


def _learnt(case: Case, events: Sequence[Event]) -> Iterator[_Step]:
    for event in events:
        if event.kind == "observe":
            observation = Observation(event.settings, event.what, event.words)
            yield _Step(_said(observation), case.agrees(observation), _ways(case, observation))
        elif event.kind == "answer":
            entry = case.entries[case.board.number[event.what]]
            mask = mask_of_answer(case, entry, event.words)
            low, high = float(event.words[0]), float(event.words[-1])
            words = entry.reading(low, high, case.rules("tolerance", "open_ohm")).words
            ways: frozenset[int] = frozenset()
            works = entry.test.kind is TestKind.LOOK and low >= entry.low[-1]
            if works and case.network.branches[entry.branch].role is Behaviour.LOAD:
                consumers = [c for c in case.bench.flows.consumers if c.branch == entry.branch]
                ways = frozenset(n for c in consumers for n in (*c.feed, *c.back, c.branch))
            if entry.test.unit in ("V", "ohm") and low == high:
                words = f"{low:.3g} {entry.test.unit}"
            yield _Step(told(entry.test, words), mask, ways)
