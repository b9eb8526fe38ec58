"""Symbols of sources: battery."""

from __future__ import annotations

from compiler.model.items import Part
from renderers.sheets.ink import Shape, Words, line
from renderers.sheets.symbols.base import HIGH, Glyph, Style, lead


def battery(part: Part, style: Style) -> Glyph:
    """Cells between two leads that both leave below: long thin plate positive, short thick plate negative."""
    gap = max(style.pitch, 36)
    a, b = part.terminals[0], part.terminals[1]
    mid = gap / 2
    ink: list[Shape] = [line((0, HIGH), (0, 10), (mid - 9, 10)), line((mid + 9, 10), (gap, 10), (gap, HIGH))]
    for x in (mid - 9.0, mid + 3.0):
        ink += [line((x, 3), (x, 17)), line((x + 6, 6), (x + 6, 14), width=2.0)]
    ink.append(line((mid - 3, 10), (mid + 3, 10), dash="1.4 1.2"))
    ink += [Words(mid - 12, 6.5, "+", 7, True, "end"), Words(mid + 12, 6.5, "–", 7, True)]
    return Glyph(3, gap + 3.0, HIGH, (), ((a, 0), (b, gap)), tuple(ink))


def plain_lead(part: Part, style: Style) -> Glyph:
    """A terminal of which no more is known."""
    return Glyph(3, 3, 6, ((part.terminals[0], 0),), (), (lead(0, 6),))
