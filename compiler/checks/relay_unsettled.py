"""A relay that does not come to rest, or whose position depends on more than the switches."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.network.network import CannotSolve
from compiler.network.settle import Chatter, Latch, Unrest, settle
from compiler.network.state import State, states_of
from grammar.finding import Finding, Note, Severity

_STATES = 64


class RelayUnsettled(Check):
    """Page: pages/relay-unsettled.md."""

    name = "relay-unsettled"
    severity = Severity.ERROR
    family = "electrical behaviour"
    policies = ("conductor-temperature", "rated-voltage")
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        if not subject.electrical.has_battery or not any(d.kind == "relay" for d in subject.variant.devices.values()):
            return
        network = subject.electrical.network
        tangled = network.routes.tangled
        if not tangled:
            return
        told: set[tuple[type, tuple[str, ...]]] = set()
        for state in _states(subject, tangled):
            try:
                unrest = settle(network, state, thorough=True).unrest
            except CannotSolve:
                return  # sources that contradict each other are told where they are used
            for found in unrest:
                if (key := (type(found), found.relays)) not in told:
                    told.add(key)
                    yield self._finding(subject, state, found)

    def _finding(self, subject: Subject, state: State, found: Unrest) -> Finding:
        devices = [subject.variant.devices[name] for name in found.relays]
        names = listing(found.relays)
        set_ = listing(f"{name} {position}" for name, position in state.set.items()) or "everything at rest"
        one = len(found.relays) == 1
        notes = tuple(Note(device.at, f"{device.id} is declared here") for device in devices[1:4])
        if isinstance(found, Chatter):
            says = f"with {set_}, {names} {'chatters' if one else 'chatter'}: each position makes the other"
            return self.finding(
                devices[0].at, says, notes=notes, mend="take the coil's feed off the relay's own break contact"
            )
        if isinstance(found, Latch):
            stay, do = ("stays", "does") if one else ("stay", "do")
            says = f"with {set_}, {names} {stay} in once in, but {do} not pull in"
            mend = "nothing, if it is meant to hold itself; a waiver can say so"
            return self.finding(devices[0].at, says, notes=notes, mend=mend, severity=Severity.NOTE)
        says = f"with {set_}, which of {names} ends up in depends on which is the faster"
        mend = "interlock them by a contact of the switch, not of each other"
        return self.finding(devices[0].at, says, notes=notes, mend=mend, severity=Severity.WARNING)


def _states(subject: Subject, tangled: frozenset[str]) -> Iterator[State]:
    """Settings of the switches that have a say in the coils of tangled relays, those that feed the coils among them."""
    network = subject.electrical.network
    rows = network.branches
    numbers = {coil.branch for coil in network.coils if coil.device in tangled}
    nodes = [node for number in sorted(numbers) for node in (rows[number].a, rows[number].b)]
    needs = [consumer.need for consumer in subject.electrical.flows.consumers if consumer.branch in numbers]
    seeds = [
        {s: min(p, key=network.positions[s].index) for s, p in need.items() if s not in network.moved} for need in needs
    ]
    yield from states_of(network, network.routes.touching(nodes), _STATES, seeds)
