"""A splice that joins nothing."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._ends import place_at
from compiler.checks.base import Check, Subject
from compiler.model.items import Point
from grammar.finding import Finding, Note, Severity


class LoneSplice(Check):
    """Page: pages/lone-splice.md."""

    name = "lone-splice"
    severity = Severity.ERROR
    family = "wires, sizes, colours"

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant = subject.variant
        for splice in variant.splices.values():
            point = Point(splice.id, "")
            wires = variant.wires_at(point)
            # A wire from a splice to itself is a fault of that wire.
            if len(wires) > 1 or any(wire.a.point == wire.b.point for wire in wires):
                continue
            leave_out = f"say `omit {splice.id}` in the variant" if splice.fragment else "take the splice out"
            if wires:
                yield self.finding(
                    splice.at,
                    f"splice {splice.id} has one wire, {wires[0].id}",
                    notes=(Note(place_at(wires[0], point), f"{wires[0].id} ends at it here"),),
                    mend=f"end the other wires at it, or {leave_out} and run {wires[0].id} on to where it goes",
                )
            else:
                yield self.finding(
                    splice.at, f"splice {splice.id} has no wire", mend=f"end its wires at it, or {leave_out}"
                )
