"""Faults of the circuit that stand already: what only follows from one of them is not told again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from compiler.checks.base import Subject
from grammar.source import Source, Span

# Checks that say why a circuit carries nothing, too little, or current where there should be none.
_BREAKING = frozenset(
    "back-feed cavity-out-of-range cavity-overfilled coil-diode-reversed dangling-cavity duplicate-id duplicate-splice"
    " lone-splice no-feed no-return not-known relay-never-energised relay-pull-in relay-unsettled short-not-cleared"
    " sneak-path spare-cavity-wired supply-short switch-contact-unused unknown-name unwired-terminal voltage-drop"
    " wire-to-itself wrong-harness".split()
)


class Told:
    """The places of standing findings about broken circuits, their notes included."""

    def __init__(self, subject: Subject) -> None:
        self._places: dict[Source, list[int]] = defaultdict(list)
        for finding in subject.standing:
            if finding.check in _BREAKING:
                for at in (finding.at, *(note.at for note in finding.notes)):
                    if at is not None:
                        self._places[at.source].append(at.start)

    def covers(self, statements: Iterable[Span]) -> bool:
        """Whether a finding points into any of these statements."""
        return bool(self._places) and any(
            span.start <= place < span.end for span in statements for place in self._places.get(span.source, ())
        )
