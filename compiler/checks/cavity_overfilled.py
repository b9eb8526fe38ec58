"""More wires at a cavity or terminal than go into it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from compiler.checks._ends import place_at
from compiler.checks.base import Check, Subject
from compiler.model.items import Connector, Point, Wire
from compiler.model.variant import Variant
from grammar.finding import Finding, Note, Severity
from grammar.source import Span

# Studs and eyelets: rings are stacked on them.
_STUDS = frozenset({"battery", "alternator", "starter", "fusible-link", "ring-terminal"})


class CavityOverfilled(Check):
    """Page: pages/cavity-overfilled.md."""

    name = "cavity-overfilled"
    severity = Severity.ERROR
    family = "cavities and connectors"
    policies = ("wires-per-cavity",)
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        # A wire too many at both its ends is one fault.
        of_wire: dict[Wire, list[Overfilled]] = {}
        for full in overfilled(subject):
            of_wire.setdefault(full.extra, []).append(full)
        for full, *others in of_wire.values():
            yield self._finding(subject.variant, full, others)

    def _finding(self, variant: Variant, full: Overfilled, others: list[Overfilled]) -> Finding:
        point, wires, most, _ = full
        connector = variant.connectors.get(point.item)
        place = f"cavity {point}" if connector else f"terminal {point}"
        if connector and connector.is_inline:
            place += f" on the {connector.half_name(point.half)}"
        notes = [Note(place_at(wire, point), f"{wire.id} ends here too") for wire in wires if wire is not full.extra]
        notes += [Note(other.at, f"{other.point} is as full") for other in others]
        mend = "join the wires at a splice and take one wire from there"
        if connector and len(wires) == 2:
            mend += f", or mark it `doubled {point.terminal}` if both are crimped in one terminal"
        if connector and (free := waiting(variant, connector, point.half)):
            mend = f"{connector.id}.{free[0]} has no wire on this side: does one belong there? Else {mend}"
        says = f"{len(wires)} wires end at {place}, which takes {most}"
        return self.finding(full.at, says, notes=tuple(notes), mend=mend)


class Overfilled(NamedTuple):
    """A point at which more wires end than may, the wires in the order of the source, how many may, and the wire that
    is most likely one too many."""

    point: Point
    wires: tuple[Wire, ...]
    most: int
    extra: Wire

    @property
    def at(self) -> Span:
        return place_at(self.extra, self.point)


def waiting(variant: Variant, connector: Connector, half: int) -> list[str]:
    """Cavities of an in-line connector that are wired on the other half, and on this one neither wired nor marked."""
    if not connector.is_inline:
        return []
    return [
        cavity
        for cavity in connector.cavities
        if variant.wires_at(Point(connector.id, cavity, 1 - half))
        and not variant.wires_at(Point(connector.id, cavity, half))
        and cavity not in connector.spare
        and cavity not in connector.plugged
    ]


def overfilled(subject: Subject) -> list[Overfilled]:
    """Every overfilled point. Raises ValueError for a policy value that cannot be."""
    found = list(_overfilled(subject))
    often = Counter(wire for _, wires, _ in found for wire in wires)
    # Of several, the wire that is too many at its other end as well; else the first that finds no room.
    return [
        Overfilled(point, wires, most, max(wires[most], *wires, key=lambda wire: often[wire]))
        for point, wires, most in found
    ]


def _overfilled(subject: Subject) -> Iterator[tuple[Point, tuple[Wire, ...], int]]:
    variant = subject.variant
    allowed = subject.policy("wires-per-cavity", 1)
    if allowed < 1:
        raise ValueError("policy wires-per-cavity: at least 1")
    for point, wires in variant.crowded():
        if len(wires) <= allowed:
            continue
        most = allowed
        connector = variant.connectors.get(point.item)
        if connector is not None:
            if point.half in connector.doubled.get(point.terminal, ()):
                most = max(2, allowed)
        else:
            device = variant.devices.get(point.item)
            if device is None or device.kind in _STUDS:
                continue  # splice, ground, bus; stud
        # A segment letter given twice is reported as such.
        distinct = tuple({wire.id: wire for wire in reversed(wires)}.values())[::-1]
        if len(distinct) > most:
            yield point, distinct, most
