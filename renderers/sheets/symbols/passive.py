"""Symbols of what current passes or is held back by: resistors, diodes, capacitors, coils."""

from __future__ import annotations

from compiler.model.items import Part
from renderers.sheets.ink import Disc, Rect, Shape, Stroke, Words, line
from renderers.sheets.labels import SMALL
from renderers.sheets.symbols.base import HIGH, Glyph, Style, arrow_head, lead, straight

BODY: tuple[Shape, ...] = (lead(0, 4), Rect(-3.5, 4, 7, 16), lead(20, HIGH))


def resistor(part: Part, _style: Style) -> Glyph:
    """A rectangle in the line."""
    return straight(part, 4, BODY)


def variable_resistor(part: Part, style: Style) -> Glyph:
    """Three terminals: a rectangle with an arrow from the side; two: a rectangle crossed by an arrow."""
    if len(part.terminals) < 3:
        return straight(part, 9, (*BODY, line((-8, 18), (7, 6), width=0.6), arrow_head((9, 4.5), (-8, 18))))
    one, wiper, other = part.terminals
    gap = max(style.pitch, 12)
    ink = (*BODY, line((gap, HIGH), (gap, 12), (5, 12)), arrow_head((3.5, 12), (12, 12)))
    return Glyph(4, gap + 2.0, HIGH, ((one, 0),), ((other, 0), (wiper, gap)), ink)


def thermistor(part: Part, _style: Style) -> Glyph:
    """A rectangle crossed by a slanted line with a foot, and t°."""
    ink = (*BODY, line((-12, 18), (-8, 18), (7, 5), width=0.6), Words(-6, 9, "t°", SMALL, False, "end"))
    return straight(part, 13, ink)._replace(right=8)


def sender(part: Part, _style: Style) -> Glyph:
    """A rectangle crossed by an arrow that a float moves."""
    ink = (*BODY, line((-8, 18), (7, 6), width=0.6), arrow_head((9, 4.5), (-8, 18)), Disc(-9.8, 19.4, 2.2, 0.7))
    return straight(part, 12, ink)._replace(right=9)


def diode(part: Part, _style: Style) -> Glyph:
    """A triangle to a bar, pointing the way current passes."""
    ink = (
        lead(0, 7),
        Stroke(((-5, 7), (5, 7), (0, 16)), 0.8, "", "#111111", True),
        line((-5, 16), (5, 16), width=1.2),
        lead(16, HIGH),
    )
    return straight(part, 6, ink)


def capacitor(part: Part, _style: Style) -> Glyph:
    """Two bars facing."""
    ink = (lead(0, 10), line((-6, 10), (6, 10), width=1.4), line((-6, 14), (6, 14), width=1.4), lead(14, HIGH))
    return straight(part, 7, ink)


def coil(part: Part, style: Style) -> Glyph:
    """A relay's winding: a rectangle across the line with a slanted stroke; what suppresses its spark beside it."""
    ink: list[Shape] = [
        lead(0, 7),
        Rect(-9, 7, 18, 10, 0.8, "#FFFFFF"),
        line((-9, 17), (9, 7), width=0.6),
        lead(17, HIGH),
    ]
    glyph = straight(part, 9, ink, (9, 12))
    if not style.words:
        return glyph
    x = -17.0
    ink += [line((0, 3), (x, 3), (x, 8), width=0.6), line((0, 21), (x, 21), (x, 16), width=0.6)]
    if style.words == "with-diode":
        ink += [
            Stroke(((x - 3.2, 15), (x + 3.2, 15), (x, 9)), 0.6, "", "#FFFFFF", True),
            line((x - 3.2, 9), (x + 3.2, 9)),
        ]
        ink += [line((x, 8), (x, 9), width=0.6), line((x, 15), (x, 16), width=0.6)]
    else:
        ink.append(Rect(x - 2.2, 8, 4.4, 8, 0.6))
    return glyph._replace(left=21, ink=tuple(ink))
