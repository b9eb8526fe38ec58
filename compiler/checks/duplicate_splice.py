"""The same splice id twice."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks.base import Check, Subject
from grammar.finding import Finding, Note, Severity


class DuplicateSplice(Check):
    """Page: pages/duplicate-splice.md."""

    name = "duplicate-splice"
    severity = Severity.ERROR
    family = "names and references"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        for twice in subject.variant.duplicates:
            if twice.sort == twice.first_sort == "splice":
                yield self.finding(
                    twice.second,
                    f"splice {twice.id} is declared twice",
                    notes=(Note(twice.first, "declared here first"),),
                    mend="give one of the two splices another id, and the wires that end at it too",
                )
