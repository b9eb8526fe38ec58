"""A star behind a colour that has no standard tracer."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks.base import Check, Subject
from grammar.finding import Finding, Severity


class NoStandardTracer(Check):
    """Page: pages/no-standard-tracer.md."""

    name = "no-standard-tracer"
    severity = Severity.ERROR
    family = "wires, sizes, colours"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        for problem in subject.colour_problems:
            if problem.reason == "no-standard-tracer":
                base = problem.at.text.removesuffix("*")
                mend = f"write the tracer out (`{base}/WH`), or declare it in a colours table: `tracer {base} WH`"
                yield self.finding(problem.at, problem.says, mend=mend)
