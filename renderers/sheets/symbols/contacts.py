"""Symbols of contacts: make, break, changeover, in the state at rest."""

from __future__ import annotations

from compiler.model.items import Part
from renderers.sheets.ink import Blade, Disc, Shape, Words, line
from renderers.sheets.labels import SMALL, width, wrap
from renderers.sheets.symbols.base import HIGH, Glyph, Style, lead, straight

_SHUT = ((0.2, 16.6), (2.2, 5.4))
_OPEN = ((-0.4, 16.7), (-6.2, 6.4))
_SHUT_LINK, _OPEN_LINK = (1.2, 11.0), (-3.2, 11.6)  # where the blade takes the dashed line of its link


def contact(part: Part, style: Style) -> Glyph:
    """A blade that leans open to the left of its fixed contact, or lies on it; the positions in which it is closed beside it."""
    ink: list[Shape] = [lead(0, 5), Disc(0, 6.2, 1.2), Disc(0, 17.8, 1.2), lead(19, HIGH)]
    forms = (_SHUT, _OPEN) if style.closed else (_OPEN, _SHUT)
    ink.append(Blade(*forms))
    links = (_SHUT_LINK, _OPEN_LINK) if style.closed else (_OPEN_LINK, _SHUT_LINK)
    glyph = straight(part, 8, ink, links[0])._replace(swung=links[1])
    if style.words:
        # Below the dashed line that joins the blades of one switch.
        lines = wrap(style.words, 46, SMALL, most=4)
        for index, text in enumerate(lines):
            ink.append(Words(3.4, 20.4 + index * 7.2, text, SMALL))
        low = HIGH + 7.2 * (len(lines) - 1)
        ink.append(lead(HIGH, low))
        right = 5 + max(width(text, SMALL) for text in lines)
        glyph = glyph._replace(right=right, height=low)
    return glyph._replace(ink=tuple(ink))


def changeover(common: str, rest: str, other: str, pitch: int) -> Glyph:
    """One blade between two fixed contacts; it lies on the one at rest (drawn on the left)."""
    gap = max(pitch, 18)
    ink = (
        lead(0, 5),
        Disc(0, 6.2, 1.2),
        Blade(((0.2, 7.4), (1.4, 18.6)), ((0.2, 7.4), (7.6, 15.0))),
        Disc(0, 17.8, 1.2),
        lead(19, HIGH),
        Disc(gap, 17.8, 1.2),
        lead(19, HIGH, gap),
        # The open contact reaches towards the blade, however far apart the terminals stand.
        line((gap, 16.6), (gap, 15.2), (8, 15.2), width=0.6),
    )
    return Glyph(6, gap + 4.0, HIGH, ((common, 0),), ((rest, 0), (other, gap)), ink, (0.8, 11), (3.7, 11))
