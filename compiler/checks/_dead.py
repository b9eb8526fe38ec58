"""Findings about circuits that can never work, shared by the checks for feeds, returns and relay coils."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from compiler.checks._waivers import excused
from compiler.checks.base import Subject
from compiler.checks.dangling_cavity import DanglingCavity
from compiler.circuit.dead import Dead, DeadCircuits
from compiler.circuit.stops import Stop, find_stop
from compiler.model.items import Behaviour, Device, Wire


class Fault(NamedTuple):
    """A dead circuit that no other check speaks of: what is dead, and where it stops (None if that cannot be told)."""

    dead: Dead
    stop: Stop | None

    @property
    def devices(self) -> list[Device]:
        """The devices that are dead, each once, in the order of the source."""
        return list({consumer.device.id: consumer.device for consumer in self.dead.consumers}.values())

    @property
    def coils_only(self) -> bool:
        return all(consumer.behaviour is Behaviour.COIL for consumer in self.dead.consumers)


def faults(subject: Subject) -> Sequence[Fault]:
    """The dead circuits of a variant, worked out once for all checks."""
    found: Sequence[Fault] | None = subject.raised.get("dead circuits")
    if found is None:
        found = subject.raised["dead circuits"] = tuple(_faults(subject))
    return found


def _faults(subject: Subject) -> Iterator[Fault]:
    potentials = subject.feeds.potentials
    circuits = DeadCircuits(subject.feeds)
    waived = excused(subject.variant, DanglingCavity.name)
    for dead in circuits.found:
        told = not subject.is_off(DanglingCavity.name)
        if told and any(not waived(wire.at) for wire in _half_wired(subject, dead)):
            continue
        stop = find_stop(potentials, dead)
        # A terminal without a wire is told of there; what is dead behind it only follows.
        if stop is None or not stop.bare:
            yield Fault(dead, stop)


def _half_wired(subject: Subject, dead: Dead) -> Iterator[Wire]:
    """Wires of a region that end in a cavity whose other half is empty and not marked so."""
    variant, potentials = subject.variant, subject.feeds.potentials
    for potential in dead.region:
        for node in potentials.members[potential]:
            point = subject.graph.points[node]
            connector = variant.connectors.get(point.item)
            if connector is None or not connector.is_inline:
                continue
            wires = variant.wires_at(point)
            empty = not variant.wires_at(point._replace(half=1 - point.half))
            if empty and point.terminal not in connector.spare and point.terminal not in connector.plugged:
                yield from wires


def named(fault: Fault) -> list[str]:
    """The dead loads by name: a part by its label where its device has several loads."""
    names = [
        f"{device.id}.{part.label}" if part.label and part.kind != device.kind else device.id
        for _, device, part, _ in fault.dead.consumers
    ]
    return list(dict.fromkeys(names))
