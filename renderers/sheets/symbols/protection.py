"""Symbols of fuses, fusible links and breakers."""

from __future__ import annotations

from compiler.model.items import Part
from renderers.sheets.ink import Arc, Disc, Rect, line
from renderers.sheets.symbols.base import HIGH, Glyph, Style, lead, straight


def fuse(part: Part, _style: Style) -> Glyph:
    """A long rectangle with the line running through."""
    return straight(part, 4, (Rect(-3.5, 4, 7, 16), lead(0, HIGH)))


def fusible_link(part: Part, _style: Style) -> Glyph:
    """A wave in the line between two end sleeves."""
    ink = (
        lead(0, 3),
        Rect(-2, 3, 4, 3, 0.8, "#FFFFFF"),
        Arc(0, 9, 3, -90, 90),
        Arc(0, 15, 3, 90, 270),
        Rect(-2, 18, 4, 3, 0.8, "#FFFFFF"),
        lead(21, HIGH),
    )
    return straight(part, 5, ink)


def breaker(part: Part, _style: Style) -> Glyph:
    """An arc over a gap between two contacts."""
    ink = (
        lead(0, 5.6),
        Disc(0, 7, 1.4),
        Disc(0, 17, 1.4),
        lead(18.4, HIGH),
        Arc(-1.5, 12, 6.5, -55, 55),
        line((5, 12), (8, 12), width=0.6),
    )
    return straight(part, 8, ink)._replace(left=4)
