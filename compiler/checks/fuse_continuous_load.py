"""A fuse that carries more of its rating for long than it should."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._loads import known, rounded, sum_note
from compiler.checks._words import amperes
from compiler.checks.base import Check, Subject
from compiler.network.world import is_continuous
from compiler.standards.fuses import continuous_share
from grammar.finding import Finding, Severity

SETTING = "fuse-continuous-share"


class FuseContinuousLoad(Check):
    """Page: pages/fuse-continuous-load.md."""

    name = "fuse-continuous-load"
    severity = Severity.WARNING
    family = "electrical behaviour"
    policies = (SETTING, "rated-voltage")
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        share = subject.policy(SETTING, continuous_share())
        if not subject.electrical.has_battery:
            return
        flows = subject.electrical.flows
        network = flows.network
        for branch, rating in network.ratings.items():
            device = network.variant.devices[network.branches[branch].device]
            if device.kind != "fuse":
                continue
            loads = [c for c in known(flows.loads_of_fuse.get(branch, ())) if is_continuous(c.part.kind)]
            total, drawing = flows.worst(loads)
            # Beyond the rating itself it is fuse-overload.
            if rating * share * (1 + 1e-9) < total <= rating * (1 + 1e-9):
                yield self.finding(
                    device.at,
                    f"fuse {device.id} carries {rounded(total)} for long,"
                    f" {total / rating:.0%} of its {amperes(rating)}",
                    notes=(sum_note(drawing),),
                    mend=f"keep a continuous load within {share:.0%} of the rating: {rounded(rating * share)} here",
                )
