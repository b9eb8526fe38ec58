"""A load that works although its feed is off, because current gets to it backwards through other loads."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.network.sneaks import Sneak, meshes, sneaks
from grammar.finding import Finding, Note, Severity


class SneakPath(Check):
    """Page: pages/sneak-path.md."""

    name = "sneak-path"
    severity = Severity.ERROR
    family = "electrical behaviour"
    policies = ("conductor-temperature", "rated-voltage")
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        from compiler.network.network import CannotSolve

        if not subject.electrical.has_battery:
            return
        network = subject.electrical.network
        if not meshes(network):
            return
        try:
            for sneak in sneaks(network):
                yield self._finding(subject, sneak)
        except CannotSolve:
            return  # sources that contradict each other are told where they are used

    def _finding(self, subject: Subject, sneak: Sneak) -> Finding:
        network = subject.electrical.network
        devices = subject.variant.devices
        through = [network.place(branch) for branch in sneak.through]
        set_ = listing(f"{name} {position}" for name, position in sneak.state.set.items()) or "everything at rest"
        reached = [f"{network.place(branch)} ({volts:.1f} V)" for branch, volts in sneak.reached]
        first = devices[network.branches[sneak.through[0]].device]
        notes = [
            Note(
                devices[network.branches[branch].device].at,
                f"{network.place(branch)} gets {volts:.1f} V although its feed is off",
            )
            for branch, volts in sneak.reached[:3]
        ]
        return self.finding(
            first.at,
            f"with {set_}, current gets backwards through {listing(through)} to {listing(reached)}",
            notes=tuple(notes),
            mend="part the two circuits by separate contacts, or put a diode where current must not run backwards",
        )
