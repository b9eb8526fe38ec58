"""A relay coil that can never be fed, or from which nothing returns."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._dead import Fault, faults
from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.circuit.dead import Lack
from grammar.finding import Finding, Note, Severity

_SAYS = {
    Lack.FEED: "no supply can reach the {coil} of {relays}",
    Lack.RETURN: "the {coil} of {relays} {has} no way back to ground",
    Lack.BOTH: "neither a supply nor ground can reach the {coil} of {relays}",
}
_MEND = {
    Lack.FEED: "wire {where} to a point that a fuse feeds",
    Lack.RETURN: "wire {where} to a ground, or to what switches it to ground",
    Lack.BOTH: "wire the coil's two terminals to its feed and to its ground",
}


class RelayNeverEnergised(Check):
    """Page: pages/relay-never-energised.md."""

    name = "relay-never-energised"
    severity = Severity.ERROR
    family = "electrical behaviour"

    def run(self, subject: Subject) -> Iterator[Finding]:
        for fault in faults(subject):
            if fault.coils_only and fault.dead.lack in _SAYS:
                yield self._finding(fault)

    def _finding(self, fault: Fault) -> Finding:
        devices, stop, lack = fault.devices, fault.stop, fault.dead.lack
        one = len(devices) == 1
        relays = listing(device.id for device in devices)
        at = devices[0].at if stop is None or one else stop.at
        says = _SAYS[lack].format(coil="coil" if one else "coils", relays=relays, has="has" if one else "have")
        notes = [] if stop is None or stop.at == at else [Note(stop.at, f"it stops at {stop.words}")]
        notes += [Note(device.at, f"{device.id} is declared here") for device in devices[:3] if device.at != at]
        where = stop.words if stop is not None else f"the other side of the {'coil' if one else 'coils'}"
        return self.finding(at, says, notes=tuple(notes), mend=_MEND[lack].format(where=where))
