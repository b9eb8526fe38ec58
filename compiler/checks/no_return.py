"""A load from which no current can return to the battery."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._dead import Fault, faults, named
from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.circuit.dead import Lack
from grammar.finding import Finding, Note, Severity


class NoReturn(Check):
    """Page: pages/no-return.md."""

    name = "no-return"
    severity = Severity.ERROR
    family = "grounds and returns"

    def run(self, subject: Subject) -> Iterator[Finding]:
        for fault in faults(subject):
            if fault.dead.lack is Lack.JOINED:
                yield self._joined(fault)
            elif fault.dead.lack is Lack.RETURN and not fault.coils_only:
                yield self._finding(fault)

    def _joined(self, fault: Fault) -> Finding:
        name, device = listing(named(fault)), fault.devices[0]
        return self.finding(
            device.at,
            f"both terminals of {name} are joined to each other: no current runs through it",
            mend="end the wire of one terminal at a ground",
        )

    def _finding(self, fault: Fault) -> Finding:
        devices, stop = fault.devices, fault.stop
        names = named(fault)
        loads, have = listing(names), "has" if len(names) == 1 else "have"
        if not fault.dead.region:
            return self.finding(
                devices[0].at,
                f"both terminals of {loads} lead to the supply: nothing returns",
                mend="end the wire of one terminal at a ground",
            )
        if stop is not None and stop.words.startswith("structure "):
            structure = stop.words.removeprefix("structure ")
            return self.finding(
                stop.at,
                f"no strap joins {stop.words} to the battery's negative terminal: {loads} {have} no way back",
                notes=tuple(Note(device.at, f"{device.id} returns through it") for device in devices[:3]),
                mend=f"wire a ground on {structure} to a ground on the structure that the battery is grounded to",
            )
        if stop is None or len(devices) == 1:
            where = loads if stop is None else stop.words
            apart = stop is not None and stop.at != devices[0].at
            notes = (Note(stop.at, f"the way back ends at {where}"),) if stop is not None and apart else ()
            return self.finding(
                devices[0].at, f"{loads} {have} no way back to ground", notes=notes, mend=f"wire {where} to a ground"
            )
        return self.finding(
            stop.at,
            f"{stop.words} has no way back to ground, and with it {loads} {have} none",
            notes=tuple(Note(device.at, f"{device.id} is declared here") for device in devices[:3]),
            mend=f"wire {stop.words} to a ground",
        )
