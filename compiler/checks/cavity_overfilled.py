"""More wires at a cavity or terminal than go into it."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._ends import place_at
from compiler.checks.base import Check, Subject
from compiler.model.items import Point, Wire
from grammar.finding import Finding, Note, Severity

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
        told: dict[frozenset[str], None] = {}
        for point, wires, most in overfilled(subject):
            same = frozenset(wire.id for wire in wires)
            if same not in told:  # a wire written twice overfills both its ends, and is one fault
                told[same] = None
                yield self._finding(subject, point, wires, most)

    def _finding(self, subject: Subject, point: Point, wires: tuple[Wire, ...], most: int) -> Finding:
        connector = subject.variant.connectors.get(point.item)
        place = f"cavity {point}" if connector else f"terminal {point}"
        if connector and connector.is_inline:
            place += f" on the {connector.half_name(point.half)}"
        extra = wires[most]
        notes = tuple(
            Note(place_at(wire, point), f"{wire.id} ends here too") for wire in wires if wire is not extra
        )
        mend = "join the wires at a splice and take one wire from there"
        if connector and len(wires) == 2:
            mend += f", or mark it `doubled {point.terminal}` if both are crimped in one terminal"
        number = f"{len(wires)} wires end at"
        return self.finding(place_at(extra, point), f"{number} {place}, which takes {most}", notes=notes, mend=mend)


def overfilled(subject: Subject) -> Iterator[tuple[Point, tuple[Wire, ...], int]]:
    """Points at which more wires end than may, with the wires in the order of the source, and how many may."""
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
