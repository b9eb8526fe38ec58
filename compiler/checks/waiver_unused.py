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

    def run(self, subject: Subject) -> Iterator[Finding]:
        from compiler.checks import known_names

        used: set[int] = subject.raised.get("waivers used", set())
        off = subject.settings.severity
        for index, waiver in enumerate(subject.variant.waivers):
            if index in used:
                continue
            if waiver.check not in known_names():
                near = nearest(waiver.check, known_names())
                mend = f"did you mean `{near}`?" if near else "name the check as the finding shows it"
                yield self.finding(waiver.at, f"this waiver names `{waiver.check}`, which is no check", mend=mend)
            elif not waiver.reason.strip():
                mend = "say in the quotes why the finding may stand"
                yield self.finding(waiver.at, f"this waiver of {waiver.check} gives no reason and excuses nothing", mend=mend)
            elif off.get(waiver.check) != "off":
                mend = "take the waiver out"
                yield self.finding(waiver.at, f"this waiver excuses nothing: {waiver.check} finds no fault here", mend=mend)
