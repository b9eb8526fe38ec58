"""A wiring sheet as drawn: what the drawing of sheets hands to the pack."""

from __future__ import annotations

from typing import NamedTuple


class SheetFigure(NamedTuple):
    """One wiring sheet.

    sheet   its number as the author wrote it
    svg     a whole SVG element; each element of a wire carries data-wire and data-circuit, of an item data-item
    width_pt, height_pt  size at full scale, points
    alt     what it shows, in words
    """

    sheet: str
    title: str
    svg: str
    width_pt: float
    height_pt: float
    alt: str
