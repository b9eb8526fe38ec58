"""A complaint whose search may end among many parts that no test tells apart."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from grammar.finding import Finding, Severity

_NAMED = 6


class LargeFaultGroup(Check):
    """Page: pages/large-fault-group.md."""

    name = "large-fault-group"
    severity = Severity.NOTE
    family = "testability"
    policies = ("fault-limits",)
    on_request = True

    def run(self, subject: Subject) -> Iterator[Finding]:
        if not subject.electrical.has_battery or not subject.searches.declared:
            return
        at = {complaint: declared for declared, complaint in subject.searches.declared}
        for complaint, group, split_at in subject.searches.figures.groups:
            declared = at[complaint]
            parts = group.parts
            where = f"a test point at {listing(split_at)}" if split_at else "a connector between them"
            yield self.finding(
                declared.at,
                f"`{declared.title or declared.id}` may end in {len(parts)} parts that no test tells apart:"
                f" {listing(parts, _NAMED)}",
                mend=f"{where} would split it",
            )
