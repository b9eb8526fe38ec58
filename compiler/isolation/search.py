"""A search: a complaint, what was done since, and what is left. Immutable; every step gives a new search."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from compiler.isolation.board import Alive
from compiler.isolation.catalogue import Entry
from compiler.isolation.choose import Chooser
from compiler.isolation.confirm import confirmation
from compiler.isolation.contradiction import conflict, pairs
from compiler.isolation.outcomes import choice_of, mask_of_answer
from compiler.isolation.policy import IsolationError
from compiler.isolation.reasons import cleared
from compiler.isolation.related import related
from compiler.isolation.types import (
    Choice,
    Cleared,
    Complaint,
    Confirmation,
    Conflict,
    Event,
    Group,
    Observation,
    Pair,
    Related,
    Suspect,
    TestKind,
)

if TYPE_CHECKING:
    from compiler.isolation.bench import Bench
    from compiler.isolation.case import Case


@dataclass(frozen=True, eq=False)
class Search:
    """One search.

    events  what was observed, answered and refused, in order
    alive   numbers of the suspects left
    """

    case: Case
    events: tuple[Event, ...]
    alive: Alive

    @classmethod
    def begin(cls, bench: Bench, complaint: Complaint) -> Search:
        """A search from a complaint. Raises IsolationError, PlaceError, StateError."""
        case = bench.case(complaint)
        return cls(case, (), tuple(range(len(case.suspects))))

    @classmethod
    def resumed(cls, bench: Bench, data: Mapping[str, Any]) -> Search:
        """A search as `as_json` left it. Raises IsolationError for data that is none, or that does not fit."""
        try:
            settings = tuple((str(a), str(b)) for a, b in data["set"])
            seen = tuple(
                Observation(
                    tuple((str(a), str(b)) for a, b in o["set"]), str(o["subject"]), tuple(map(str, o["words"]))
                )
                for o in data["seen"]
            )
            faults = tuple(map(str, data["faults"]))
            name, title, sort, subject, within = (str(data[k]) for k in ("id", "title", "sort", "subject", "within"))
            complaint = Complaint(name, title, settings, seen, sort, subject, within, faults)
            events = [
                Event(
                    str(e["kind"]),
                    str(e["what"]),
                    tuple(map(str, e["words"])),
                    tuple((str(a), str(b)) for a, b in e["set"]),
                )
                for e in data["events"]
            ]
        except (KeyError, TypeError, ValueError) as error:
            raise IsolationError(f"this is no search that can be gone on with: {error}") from error
        search = cls.begin(bench, complaint)
        for event in events:
            search = search._after(event)
        return search

    def as_json(self) -> dict[str, Any]:
        """Everything needed to go on later, as plain values."""
        complaint = self.case.complaint
        return {
            "id": complaint.id,
            "title": complaint.title,
            "set": [list(s) for s in complaint.settings],
            "seen": [
                {"set": [list(s) for s in o.settings], "subject": o.subject, "words": list(o.words)}
                for o in complaint.observations
            ],
            "sort": complaint.sort,
            "subject": complaint.subject,
            "within": complaint.within,
            "faults": list(complaint.faults),
            "events": [
                {"kind": e.kind, "what": e.what, "words": list(e.words), "set": [list(s) for s in e.settings]}
                for e in self.events
            ],
        }

    # -- steps ---------------------------------------------------------------------------------------------------
    def observe(self, observation: Observation) -> Search:
        """Something seen or measured anywhere. Raises IsolationError, PlaceError, StateError."""
        return self._after(Event("observe", observation.subject, observation.words, observation.settings))

    def answer(self, test: str, outcome: int | float) -> Search:
        """An answer: the index of an outcome of `choice(test)`, or a reading as a float. Raises IsolationError."""
        if isinstance(outcome, float):
            return self._after(Event("answer", test, (f"{outcome!r}",)))
        outcomes = self.choice(test).outcomes
        if not 0 <= outcome < len(outcomes):
            raise IsolationError(f"{test} has no answer {outcome + 1}; it has {len(outcomes)}")
        reading = outcomes[outcome].reading
        return self._after(Event("answer", test, (f"{reading.low!r}", f"{reading.high!r}")))

    def refuse(self, test: str) -> Search:
        """Never offer a test again. Raises IsolationError."""
        return self._after(Event("refuse", test))

    def undo(self) -> Search:
        """Without the last event; itself where there is none."""
        search = Search(self.case, (), tuple(range(len(self.case.suspects))))
        for event in self.events[:-1]:
            search = search._after(event)
        return search

    def _after(self, event: Event) -> Search:
        mask = self._mask(event)
        left = tuple(n for n in self.alive if mask[n])
        return Search(self.case, (*self.events, event), left)

    def _mask(self, event: Event) -> np.ndarray[Any, np.dtype[np.bool_]]:
        count = len(self.case.suspects)
        if event.kind == "observe":
            return self.case.agrees(Observation(event.settings, event.what, event.words))
        entry = self._entry(event.what)
        if event.kind == "refuse":
            return np.ones(count, np.bool_)
        if event.kind == "answer":
            return mask_of_answer(self.case, entry, event.words)
        raise IsolationError(f"{event.kind} is no step of a search")

    def _entry(self, test: str) -> Entry:
        number = self.case.board.number.get(test)
        if number is None:
            raise IsolationError(f"there is no test {test} that tells suspects apart")
        return self.case.entries[number]

    # -- where it stands -----------------------------------------------------------------------------------------
    @property
    def suspects(self) -> tuple[Suspect, ...]:
        """What is left, the likeliest first."""
        return tuple(suspect for group in self.groups for suspect in group.suspects)

    @cached_property
    def groups(self) -> tuple[Group, ...]:
        """What is left, grouped, with probabilities. Where no test parts it any more, it is one group."""
        board = self.case.board
        total = float(board.weight[list(self.alive)].sum()) or 1.0
        found = tuple(
            Group(tuple(self.case.suspects[n] for n in group), float(board.weight[list(group)].sum()) / total)
            for group in board.groups(self.alive)
        )
        if len(found) > 1 and not Chooser(board).useful(self.alive):
            left = sorted((s for group in found for s in group.suspects), key=lambda s: (-s.weight, s.number))
            return (Group(tuple(left), 1.0, chained=True),)
        return found

    @cached_property
    def cleared(self) -> tuple[Cleared, ...]:
        """What is out of suspicion, and why."""
        return cleared(self.case, self.events)

    @cached_property
    def conflict(self) -> Conflict | None:
        """What was seen that no single fault explains together; None while something is left."""
        return None if self.alive else conflict(self.case, self.events)

    @cached_property
    def pairs(self) -> tuple[Pair, ...]:
        """Two faults that explain together what no single one does; empty while something is left."""
        return () if self.alive else pairs(self.case, self.events)

    @cached_property
    def related(self) -> tuple[Related, ...]:
        """Symptoms worth a look before any tool is taken, those already answered or refused left out."""
        done = {event.what for event in self.events}
        looks = [e for e in self.case.entries if e.test.kind is TestKind.LOOK and e.test.id not in done]
        return related(self.case, looks, self.alive)

    @cached_property
    def confirmation(self) -> Confirmation | None:
        """A test that confirms the only cause there is, where nothing was to be told apart; else None."""
        if not self.alive or self.next is not None or any(event.kind != "refuse" for event in self.events):
            return None
        return confirmation(self.case) if len(self.groups) == 1 else None

    # -- what next -----------------------------------------------------------------------------------------------
    @cached_property
    def _chooser(self) -> Chooser:
        number = self.case.board.number
        return Chooser(self.case.board, frozenset(number[e.what] for e in self.events if e.kind == "refuse"))

    @cached_property
    def opened(self) -> tuple[str, ...]:
        """Places that have been got at."""
        done = [self._entry(e.what).test for e in self.events if e.kind == "answer"]
        return tuple(dict.fromkeys(place for test in done for place in test.opens))

    @cached_property
    def next(self) -> Choice | None:
        """The next test, or None when one group is left, or none can be told from another."""
        number = self._chooser.next(self.alive, self.case.board.opened(self.opened))
        return None if number is None else self._choice(number)

    @cached_property
    def choices(self) -> tuple[Choice, ...]:
        """All tests that tell groups apart, the next one first, then by information for the minute."""
        ranked = self._chooser.ranked(self.alive, self.case.board.opened(self.opened)) if len(self.alive) > 1 else []
        found = [self._choice(number) for number in ranked]
        first = self.next
        return tuple(sorted(found, key=lambda c: first is None or c.test.id != first.test.id))

    def choice(self, test: str) -> Choice:
        """A test by its id, with the answers it can give now. Raises IsolationError."""
        self._entry(test)
        return self._choice(self.case.board.number[test])

    def _choice(self, number: int) -> Choice:
        return choice_of(self.case, number, self.alive, self.case.board.opened(self.opened))
