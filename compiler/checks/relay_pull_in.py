"""A relay whose coil does not get the voltage it pulls in at."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.model.items import Behaviour, Wire
from compiler.network.electrical import number
from compiler.network.flows import Consumer, Flows
from compiler.network.world import default
from grammar.finding import Finding, Note, Severity

SETTING = "relay-pull-in"


class RelayPullIn(Check):
    """Page: pages/relay-pull-in.md."""

    name = "relay-pull-in"
    severity = Severity.WARNING
    family = "electrical behaviour"
    policies = (SETTING, "conductor-temperature", "rated-voltage")
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        share = number(subject.settings.policy, SETTING, default("coil", "pull_in").value)
        if not subject.electrical.has_battery:
            return
        flows = subject.electrical.flows
        for consumer in flows.consumers:
            row = flows.network.branches[consumer.branch]
            if row.role is not Behaviour.COIL or consumer.assumed or not _is_known(flows, consumer):
                continue
            in_series = [flows.network.branches[n] for n in (*consumer.feed, *consumer.back)]
            others = sum(branch.element.ohm for branch in in_series)
            forward = sum(branch.element.volts for branch in in_series)
            gets = (flows.network.world.supply_v - forward) * row.element.ohm / (row.element.ohm + others)
            needs = share * row.element.rated_v
            if gets >= needs:
                continue
            greatest = max(in_series, key=lambda branch: branch.element.ohm)
            name = flows.network.place(flows.network.branches.index(greatest))
            wires = [b.owner.id for b in in_series if isinstance(b.owner, Wire)]
            yield self.finding(
                consumer.device.at,
                f"the coil of {consumer.device.id} gets {gets:.1f} V of the {flows.network.world.supply_v:g} V supply,"
                f" it pulls in at {needs:.1f} V",
                notes=(
                    Note(
                        None, f"{others:.3g} ohm lie in series with its {row.element.ohm:g} ohm, most of them in {name}"
                    ),
                    Note(consumer.part.at, f"its wires: {listing(wires)}"),
                ),
                mend="take what stands in series out of the coil's circuit, or a coil of another resistance",
            )


def _is_known(flows: Flows, consumer: Consumer) -> bool:
    """Whether nothing on its way had to be guessed, apart from what is small beside any coil."""
    return not any(flows.network.branches[n].element.assumed for n in (*consumer.feed, *consumer.back))
