"""A relay coil whose suppression diode conducts."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks.base import Check, Subject
from compiler.model.items import Behaviour
from grammar.finding import Finding, Note, Severity


class CoilDiodeReversed(Check):
    """Page: pages/coil-diode-reversed.md."""

    name = "coil-diode-reversed"
    severity = Severity.ERROR
    family = "electrical behaviour"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant = subject.variant
        guarded = any(part.suppression == "with-diode" for d in variant.devices.values() for part in d.parts)
        if not guarded or not subject.electrical.has_battery:
            return
        flows = subject.electrical.flows
        for consumer in flows.consumers:
            part = consumer.part
            is_coil = flows.network.branches[consumer.branch].role is Behaviour.COIL
            if not is_coil or part.suppression != "with-diode":
                continue
            cathode, anode = part.terminals[:2]
            if flows.fed_terminal(consumer) == anode:
                yield self.finding(
                    part.at,
                    f"the diode across the coil of {consumer.device.id} conducts: the supply comes to {anode},"
                    f" its cathode is at {cathode}",
                    notes=(
                        Note(None, f"current passes the diode and not the coil: a short between {anode} and {cathode}"),
                    ),
                    mend=f"change over the wires at {cathode} and {anode};"
                    f" if the cathode is at {anode}, write `coil {anode} {cathode}`",
                )
