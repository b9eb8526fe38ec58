"""A waiver that excuses nothing, names no check, or gives no reason."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.assembly.names import nearest
from compiler.checks.base import Check, Subject
from grammar.finding import Finding, Severity


class WaiverUnused(Check):
    """Page: pages/waiver-unused.md. Runs after all others: it needs to know which waivers were used."""

    name = "waiver-unused"
    severity = Severity.WARNING
    family = "names and references"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        from compiler.checks import checks, known_names

        used: set[int] = subject.raised.get("waivers used", set())
        passed_over: set[str] = subject.raised.get("passed over", set())
        for index, waiver in enumerate(subject.variant.waivers):
            name = waiver.check
            if index in used or (name in passed_over and waiver.reason.strip()):
                continue
            if name not in known_names():
                near = nearest(name, known_names())
                mend = f"did you mean `{near}`?" if near else "name the check as the finding shows it"
                says = f"this waiver names `{name}`, which is no check"
            elif name not in checks() or name == self.name:
                says, mend = f"a finding of {name} cannot be excused", "take the waiver out"
            elif not waiver.reason.strip():
                says = f"this waiver of {name} gives no reason and excuses nothing"
                mend = "say in the quotes why the finding may stand"
            else:
                says, mend = f"this waiver excuses nothing: {name} finds no fault here", "take the waiver out"
            yield self.finding(waiver.at, says, mend=mend)
