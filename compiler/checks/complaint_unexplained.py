"""A complaint or trouble code of the source that no single fault brings about."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from compiler.checks._misnamed import misnamed
from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.model.items import Named
from grammar.finding import Finding, Note, Severity

if TYPE_CHECKING:
    from compiler.isolation.search import Search


class ComplaintUnexplained(Check):
    """Page: pages/complaint-unexplained.md."""

    name = "complaint-unexplained"
    severity = Severity.WARNING
    family = "testability"
    policies = ("fault-weights",)
    on_request = True

    def run(self, subject: Subject) -> Iterator[Finding]:
        from compiler.isolation.policy import IsolationError
        from compiler.isolation.search import Search
        from compiler.network.network import CannotSolve

        if not subject.electrical.has_battery:
            return
        searches = subject.searches
        for declared, complaint in searches.declared:
            if misnamed(subject.variant, declared):
                continue
            said = f"`{declared.title or declared.id}`"
            try:
                search = Search.begin(searches.bench, complaint)
            except IsolationError:
                yield self.finding(declared.at, f"nothing in the circuit can bring {said} about", mend=_MEND)
                continue
            except CannotSolve as error:
                yield self.finding(declared.at, f"{said} cannot be searched for: {error}", mend=_MEND)
                continue
            case, seen = search.case, complaint.observations
            if seen and all(case.held(case.everything, observation)[-1] for observation in seen):
                yield self.finding(declared.at, f"{said}: a sound vehicle does just this", mend=_MEND)
            elif not search.suspects:
                yield self._contradicts(declared, said, search)

    def _contradicts(self, declared: Named, said: str, search: Search) -> Finding:
        seen = [f"`{words}`" for words in (search.conflict.seen if search.conflict else ())]
        what = f": nothing explains {listing(seen)}{' together' if len(seen) > 1 else ''}" if seen else ""
        pairs = [f"{pair.first.says}, and {pair.second.says}" for pair in search.pairs[:1]]
        notes = tuple(Note(declared.at, f"two faults would: {words}") for words in pairs)
        return self.finding(declared.at, f"{said} has no single cause{what}", mend=_MEND, notes=notes)


_MEND = "correct what is set or seen, or the circuit"
