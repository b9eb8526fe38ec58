"""A tracer in the colour it stands on."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks.base import Check, Subject
from grammar.finding import Finding, Severity


class TracerSameAsBase(Check):
    """Page: pages/tracer-same-as-base.md."""

    name = "tracer-same-as-base"
    severity = Severity.ERROR
    family = "wires, sizes, colours"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        for problem in subject.colour_problems:
            if problem.reason == "same-tracer":
                parts = list(dict.fromkeys(problem.at.text.upper().split("/")))
                mend = f"write `{'/'.join(parts)}` for a wire without this tracer, or name the tracer's true colour"
                yield self.finding(problem.at, problem.says, mend=mend)
