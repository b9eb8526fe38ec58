"""A relay whose coil does not get the voltage it pulls in at."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

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
        groups: dict[int, list[WeakCoil]] = {}
        for weak in weak_coils(subject):
            groups.setdefault(weak.greatest, []).append(weak)
        for group in groups.values():
            # Coils behind one thing that takes most of their voltage are one fault: it is told of the worst of them.
            weak = min(group, key=lambda one: one.gets_v / one.needs_v)
            network, consumer = subject.electrical.network, weak.consumer
            others = [one.consumer.device.id for one in group if one is not weak]
            wires = [w.id for n in weak.in_series if isinstance(w := network.branches[n].owner, Wire)]
            yield self.finding(
                consumer.device.at,
                f"the coil of {consumer.device.id} gets {weak.gets_v:.1f} V of the {network.world.supply_v:g} V supply,"
                f" it pulls in at {weak.needs_v:.1f} V",
                notes=(
                    Note(
                        None,
                        f"{weak.others_ohm:.3g} ohm lie in series with its {weak.own_ohm:g} ohm, most of them in"
                        f" {network.place(weak.greatest)}",
                    ),
                    Note(consumer.part.at, f"its wires: {listing(wires)}"),
                    *([Note(None, f"for the same reason too little for {listing(others)}")] if others else []),
                ),
                mend="take what stands in series out of the coil's circuit, or a coil of another resistance",
            )


class WeakCoil(NamedTuple):
    """A coil that gets less than it pulls in at: V it gets and needs, branches in series with it and the one of them
    that takes most, ohm of these and its own."""

    consumer: Consumer
    gets_v: float
    needs_v: float
    in_series: tuple[int, ...]
    greatest: int
    others_ohm: float
    own_ohm: float


def weak_coils(subject: Subject) -> Sequence[WeakCoil]:
    """The coils that get too little, worked out once for all checks."""
    found: Sequence[WeakCoil] | None = subject.raised.get("weak coils")
    if found is None:
        found = subject.raised["weak coils"] = tuple(_weak_coils(subject))
    return found


def _weak_coils(subject: Subject) -> Iterator[WeakCoil]:
    share = number(subject.settings.policy, SETTING, default("coil", "pull_in").value)
    if not subject.electrical.has_battery:
        return
    flows = subject.electrical.flows
    rows, supply_v = flows.network.branches, flows.network.world.supply_v
    for consumer in flows.consumers:
        row = rows[consumer.branch]
        if row.role is not Behaviour.COIL or consumer.assumed or not _is_known(flows, consumer):
            continue
        in_series = (*consumer.feed, *consumer.back)
        others = sum(rows[n].element.ohm for n in in_series)
        forward = sum(rows[n].element.volts for n in in_series)
        gets = (supply_v - forward) * row.element.ohm / (row.element.ohm + others)
        needs = share * row.element.rated_v
        if gets < needs:
            greatest = max(in_series, key=lambda n: rows[n].element.ohm, default=consumer.branch)
            yield WeakCoil(consumer, gets, needs, in_series, greatest, others, row.element.ohm)


def _is_known(flows: Flows, consumer: Consumer) -> bool:
    """Whether nothing on its way had to be guessed, apart from what is small beside any coil."""
    return not any(flows.network.branches[n].element.assumed for n in (*consumer.feed, *consumer.back))
