"""Symbols of what stands behind one terminal: module pins, sensors, components of unknown insides."""

from __future__ import annotations

from renderers.sheets.ink import Disc, Rect, Shape, Stroke, Words, line, upended
from renderers.sheets.labels import SMALL, width, wrap
from renderers.sheets.symbols.base import Glyph, arrow_head, lead


def pin(terminal: str, role: str, title: str, below: bool, reach: float = 40.0) -> Glyph:
    """A module's pin: a small mark of its role, and its words beyond; the lead enters from above, or from `below`."""
    lines = wrap(title or role.replace("-", " "), reach, SMALL, most=4)
    half = max([6.0, *(width(text, SMALL) / 2 + 1.5 for text in lines)])
    high = 18 + 7.4 * len(lines)
    mark: list[Shape] = [lead(0, 4), *role_mark(role, below)]
    if below:
        mark = upended(mark, high)
    start = 6.5 if below else 22.5
    ink = [*mark, *(Words(0, start + i * 7.4, text, SMALL, False, "middle") for i, text in enumerate(lines))]
    ends = ((terminal, 0),)
    return Glyph(half, half, high, () if below else ends, ends if below else (), tuple(ink))


def role_mark(role: str, below: bool) -> list[Shape]:
    """Marks of the roles: what the module does to the wire. They will be turned upside down for a pin from `below`."""
    match role:
        case "supply" | "sensor-supply":
            return [Disc(0, 9, 5), line((-2.6, 9), (2.6, 9)), line((0, 6.4), (0, 11.6))]
        case "ground" | "sensor-ground":
            return [lead(4, 9), line((-5, 9), (5, 9)), line((-3, 11.2), (3, 11.2)), line((-1, 13.4), (1, 13.4))]
        case "high-side" | "low-side":
            up = (role == "high-side") != below
            tip, back = ((0.0, 4.6), (0.0, 12.0)) if up else ((0.0, 12.4), (0.0, 5.0))
            return [Rect(-5, 4, 10, 10), line(back, tip), arrow_head(tip, back, 3.6)]
        case "input" | "pull-up-input":
            ink: list[Shape] = [Stroke(((-5, 4), (5, 4), (0, 13)), 0.8, "", "none", True)]
            if role == "pull-up-input":
                ink.append(line((-3, 15), (3, 15), width=1.4))
            return ink
        case "data":
            return [Rect(-5, 4, 10, 10), line((-3, 11), (-3, 7), (0, 7), (0, 11), (3, 11), (3, 7), width=0.7)]
        case "output":
            return [Stroke(((-5, 13), (5, 13), (0, 4)), 0.8, "", "none", True)]
        case _:
            return [Disc(0, 6, 2)]
