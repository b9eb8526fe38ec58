"""A load that no supply can reach in any state of switches and relays."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._dead import Fault, faults, named
from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.circuit.dead import Lack
from grammar.finding import Finding, Note, Severity


class NoFeed(Check):
    """Page: pages/no-feed.md."""

    name = "no-feed"
    severity = Severity.ERROR
    family = "protection and feeds"

    def run(self, subject: Subject) -> Iterator[Finding]:
        for fault in faults(subject):
            if fault.dead.lack in (Lack.FEED, Lack.BOTH) and not fault.coils_only:
                yield self._finding(fault)

    def _finding(self, fault: Fault) -> Finding:
        devices, stop = fault.devices, fault.stop
        loads = listing(named(fault))
        reaches = "neither a supply nor ground reaches" if fault.dead.lack is Lack.BOTH else "no supply reaches"
        if not fault.dead.region:
            return self.finding(
                devices[0].at,
                f"both terminals of {loads} lead to ground: {reaches} it",
                mend="end the wire of one terminal at a point that a fuse feeds",
            )
        if stop is None or len(devices) == 1:
            where = loads if stop is None else stop.words
            apart = stop is not None and stop.at != devices[0].at
            notes = (Note(stop.at, f"the feed stops at {where}"),) if stop is not None and apart else ()
            return self.finding(
                devices[0].at, f"{reaches} {loads}", notes=notes, mend=f"wire {where} to a point that a fuse feeds"
            )
        stay = "stays" if len(named(fault)) == 1 else "stay"
        return self.finding(
            stop.at,
            f"{reaches} {stop.words}: {loads} {stay} dead",
            notes=tuple(Note(device.at, f"{device.id} is declared here") for device in devices[:3]),
            mend=f"wire {stop.words} to a point that a fuse feeds",
        )
