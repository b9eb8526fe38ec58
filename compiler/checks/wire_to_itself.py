"""A wire with both ends at one point."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._ends import end_span
from compiler.checks.base import Check, Subject
from grammar.finding import Finding, Note, Severity


class WireToItself(Check):
    """Page: pages/wire-to-itself.md."""

    name = "wire-to-itself"
    severity = Severity.ERROR
    family = "wires, sizes, colours"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        for wire in subject.variant.wires:
            if wire.a.point is not None and wire.a.point == wire.b.point:
                yield self.finding(
                    end_span(wire, wire.b),
                    f"wire {wire.id} begins and ends at {wire.a.point}",
                    notes=(Note(end_span(wire, wire.a), "it begins here"),),
                    mend="end it where it goes, or take it out",
                )
