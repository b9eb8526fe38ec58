"""Two wires between the same two points."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks.base import Check, Subject
from compiler.checks.cavity_overfilled import CavityOverfilled, overfilled
from compiler.model.items import Point, Wire
from grammar.finding import Finding, Note, Severity


class ParallelWire(Check):
    """Page: pages/parallel-wire.md."""

    name = "parallel-wire"
    severity = Severity.WARNING
    family = "wires, sizes, colours"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        beside: dict[tuple[Point, Point], list[Wire]] = {}
        for wire in _beside_others(subject):
            a, b = wire.a.point, wire.b.point
            if a is not None and b is not None and a != b:
                beside.setdefault((a, b) if a < b else (b, a), []).append(wire)
        if not any(len(wires) > 1 for wires in beside.values()):
            return
        # Where a cavity takes no second wire, that is what is wrong.
        full = set() if subject.is_off(CavityOverfilled.name) else {found.point for found in overfilled(subject)}
        for (a, b), same in beside.items():
            wires = list({wire.id: wire for wire in reversed(same)}.values())[::-1]
            if len(wires) < 2 or a in full or b in full:
                continue
            first, second = wires[:2]
            more = "" if len(wires) == 2 else f", and {len(wires) - 2} more"
            yield self.finding(
                second.at,
                f"wire {second.id} runs between the same two points as {first.id}{more}: {a} and {b}",
                notes=tuple(Note(wire.at, f"{wire.id} runs there too") for wire in wires if wire is not second),
                mend="take one out; if the feed is doubled on purpose, say `allow parallel-wire \"...\"` on this wire",
            )


def _beside_others(subject: Subject) -> Iterator[Wire]:
    """Wires that share a point with another wire, each once."""
    return iter(dict.fromkeys(wire for _, wires in subject.variant.crowded() for wire in wires))
