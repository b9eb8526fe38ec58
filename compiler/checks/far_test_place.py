"""A place hard to reach to which the search for a complaint may lead."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from grammar.finding import Finding, Severity


class FarTestPlace(Check):
    """Page: pages/far-test-place.md."""

    name = "far-test-place"
    severity = Severity.NOTE
    family = "testability"
    policies = ("fault-limits",)
    on_request = True

    def run(self, subject: Subject) -> Iterator[Finding]:
        if not subject.electrical.has_battery or not subject.searches.declared:
            return
        titles = {complaint.id: declared.title or declared.id for declared, complaint in subject.searches.declared}
        for place, minutes, complaints in subject.searches.figures.places:
            item = subject.variant.items.get(place)
            if item is None:
                continue
            told = listing(f"`{titles[complaint]}`" for complaint in complaints)
            yield self.finding(
                item.at,
                f"{place} takes {minutes:g} minutes to get at, and the search for {told} may lead there",
                mend="a test point that is easier to reach, before and behind it, would save that",
            )
