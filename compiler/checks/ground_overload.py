"""A ground wire that carries back more than it may."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._loads import rounded, sum_note
from compiler.checks._protecting import SETTING, chosen_policy
from compiler.checks._words import listing, rounded_down
from compiler.checks.base import Check, Subject
from compiler.checks.wire_overload import DERATING, basis_note, overloaded
from compiler.network.electrical import number
from compiler.standards.grades import enforceable
from grammar.finding import Finding, Severity


class GroundOverload(Check):
    """Page: pages/ground-overload.md."""

    name = "ground-overload"
    severity = Severity.ERROR
    family = "electrical behaviour"
    policies = (SETTING, DERATING, "rated-voltage")
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        derating = number(subject.settings.policy, DERATING, 1.0)
        if not subject.electrical.has_battery:
            return
        flows = subject.electrical.flows
        for found in overloaded(flows, flows.returning_through, chosen_policy(subject), derating, one_fuse=False):
            wire = found.wires[0]
            several = "s" if len(found.wires) > 1 else ""
            yield self.finding(
                wire.size_at,
                f"ground wire{several} {listing(w.id for w in found.wires)} of {wire.size} can carry back"
                f" {rounded(found.total)}: {rounded_down(found.limit)} at most",
                notes=(sum_note(found.drawing), basis_note(found.rule, derating)),
                mend="take a thicker wire to ground, or give some of the loads a ground of their own",
                severity=None if enforceable(found.rule.grade) else Severity.WARNING,
            )
