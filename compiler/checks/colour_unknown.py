"""A colour that cannot be read."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks.base import Check, Subject
from grammar.finding import Finding, Severity

REASONS = frozenset({"unknown-code", "ambiguous-code", "joined-code", "malformed"})


class ColourUnknown(Check):
    """Page: pages/colour-unknown.md."""

    name = "colour-unknown"
    severity = Severity.ERROR
    family = "wires, sizes, colours"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        codes = ", ".join(subject.variant.colours.colours)
        for problem in subject.colour_problems:
            if problem.reason not in REASONS:
                continue
            written = problem.at.text
            if written in subject.variant.harnesses:
                mend = f"did you mean `in {written}`?"
            elif problem.suggestion:
                mend = f"write {problem.suggestion}"
            elif problem.reason == "malformed":
                mend = "base and tracer stand with a slash between them: `BK/WH`"
            else:
                mend = f"the codes are {codes}; if the sources do not say, write `colour ?`"
            yield self.finding(problem.at, problem.says, mend=mend)
