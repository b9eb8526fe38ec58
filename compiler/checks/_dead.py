"""Findings about circuits that can never work, shared by the checks for feeds, returns and relay coils."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from compiler.checks._ends import place_at
from compiler.checks._waivers import excused
from compiler.checks.base import Subject
from compiler.checks.dangling_cavity import DanglingCavity
from compiler.checks.lone_splice import LoneSplice
from compiler.circuit.dead import Dead, DeadCircuits, Lack
from compiler.circuit.stops import Stop, find_stop, stretch
from compiler.model.items import Behaviour, Device, Point


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
    found = DeadCircuits(subject.feeds).found
    if not found:
        return  # as it should be: then nothing else needs to be known
    told = Told(subject)
    for dead in found:
        if told.covers(dead) or _supply_is_bare(subject, dead.lack):
            continue
        stop = find_stop(potentials, dead)
        # A terminal without a wire is told of there; what is dead behind it only follows.
        if stop is None or not stop.bare:
            yield Fault(dead, stop)


def _supply_is_bare(subject: Subject, lack: Lack) -> bool:
    """Whether no wire reaches any terminal at which a supply gives or takes back: that is told of there."""
    feeds = subject.feeds
    ends = {Lack.FEED: feeds.plus, Lack.RETURN: feeds.minus}.get(lack, [])
    wires, of = feeds.potentials.wires, feeds.potentials.of
    return bool(ends) and not any(wires[of[node]] for node in ends)


class Told:
    """Causes that other checks report where they stand, unless they are off or waived there."""

    def __init__(self, subject: Subject) -> None:
        self.subject = subject
        self.blurred = subject.unread.blurred
        self.cavities = not subject.is_off(DanglingCavity.name)
        self.splices = not subject.is_off(LoneSplice.name)
        self.cavity_waived = excused(subject.variant, DanglingCavity.name)
        self.splice_waived = excused(subject.variant, LoneSplice.name)

    def covers(self, dead: Dead) -> bool:
        """Whether, where the cause must lie, a wire ends in a half-wired cavity or at a splice that joins nothing, or
        something is named in a line that could not be read."""
        points, members = self.subject.graph.points, self.subject.feeds.potentials.members
        return any(
            points[node].item in self.blurred or self._half_wired(points[node]) or self._lone(points[node])
            for potential in stretch(self.subject.feeds.potentials, dead)
            for node in members[potential]
        )

    def _half_wired(self, point: Point) -> bool:
        variant = self.subject.variant
        connector = variant.connectors.get(point.item)
        if not self.cavities or connector is None or not connector.is_inline:
            return False
        wires = variant.wires_at(point)
        empty = not variant.wires_at(point._replace(half=1 - point.half))
        marked = point.terminal in connector.spare or point.terminal in connector.plugged
        return bool(wires) and empty and not marked and not self.cavity_waived(place_at(wires[0], point))

    def _lone(self, point: Point) -> bool:
        variant = self.subject.variant
        splice = variant.splices.get(point.item)
        if not self.splices or splice is None or len(variant.wires_at(point)) != 1:
            return False
        return not self.splice_waived(splice.at)


def named(fault: Fault) -> list[str]:
    """The dead loads by name: a part by its label where its device has several loads."""
    names = [
        f"{device.id}.{part.label}" if part.label and part.kind != device.kind else device.id
        for _, device, part, _ in fault.dead.consumers
    ]
    return list(dict.fromkeys(names))
