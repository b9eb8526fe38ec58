"""Symbols of the battery, and of a stud that may feed anything."""

from __future__ import annotations

from compiler.model.items import Part
from renderers.sheets.ink import Disc, Shape, Words, line
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


def ring(part: Part, _style: Style) -> Glyph:
    """A ring terminal or stud, of which no more is known."""
    return Glyph(6, 6, 14, ((part.terminals[0], 0),), (), (lead(0, 4), Disc(0, 8.5, 4.5), Disc(0, 8.5, 2)))
