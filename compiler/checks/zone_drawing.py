"""A zone whose drawing cannot be used."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks.base import Check, Subject
from grammar.finding import Finding, Severity


class ZoneDrawing(Check):
    """Page: pages/zone-drawing.md."""

    name = "zone-drawing"
    severity = Severity.WARNING
    family = "locations, sheets and index"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        drawn = [zone for zone in subject.variant.zones.values() if zone.drawing]
        if not drawn or subject.root is None:
            return
        from compiler.exchange.drawing import DrawingError, drawing_in

        for zone in drawn:
            try:
                left_out = drawing_in(subject.root, zone.drawing).left_out
            except DrawingError as error:
                yield self.finding(
                    zone.at,
                    f"the drawing {zone.drawing} of zone {zone.id} cannot be used: {error}",
                    mend="name an SVG or PNG file in the project folder, its path taken from that folder",
                )
                continue
            if left_out:
                yield self.finding(
                    zone.at,
                    f"parts of the drawing {zone.drawing} are left out of the pack: {', '.join(left_out)}",
                    mend="draw with shapes and plain texts only",
                )
