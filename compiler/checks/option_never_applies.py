"""An option that changes nothing, or a condition that never holds."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks.base import Check, Subject
from grammar.finding import Finding, Severity


class OptionNeverApplies(Check):
    """Page: pages/option-never-applies.md."""

    name = "option-never-applies"
    severity = Severity.WARNING
    family = "names and references"

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant = subject.variant
        asked = {name for use in variant.conditions for name in use.options}
        for name, at in dict(variant.header.options).items():
            # An option that is not declared is an unknown name.
            if name in variant.options and name not in asked:
                yield self.finding(
                    at,
                    f"option {name} changes nothing: no `when` asks for it",
                    mend="write `when` for what it brings, or take it from the variant's options",
                )
        for use in variant.conditions:
            if not use.possible:
                yield self.finding(
                    use.at,
                    f"`{' '.join(use.at.text.split())}` can never be true here",
                    mend="mend the condition, or take its block out",
                )
