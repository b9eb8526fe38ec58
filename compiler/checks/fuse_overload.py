"""A fuse or breaker whose loads can together draw more than its rating."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._loads import known, rounded, sum_note
from compiler.checks._words import amperes
from compiler.checks.base import Check, Subject
from grammar.finding import Finding, Severity


class FuseOverload(Check):
    """Page: pages/fuse-overload.md."""

    name = "fuse-overload"
    severity = Severity.ERROR
    family = "electrical behaviour"
    policies = ("rated-voltage",)
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        if not subject.electrical.has_battery:
            return
        flows = subject.electrical.flows
        network = flows.network
        for branch, rating in network.ratings.items():
            total, drawing = flows.worst(known(flows.loads_of_fuse.get(branch, ())))
            if total > rating * (1 + 1e-9):
                device = network.variant.devices[network.branches[branch].device]
                yield self.finding(
                    device.at,
                    f"the loads of {device.kind} {device.id} can draw {rounded(total)},"
                    f" its rating is {amperes(rating)}",
                    notes=(sum_note(drawing),),
                    mend="move a load to another fuse, or fit a larger one where the wires behind it allow that",
                )
