"""A finished sheet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from renderers.sheets.frame import NO_TITLES, Titles


@dataclass(frozen=True, slots=True)
class SheetFigure:
    """One page of a wiring sheet.

    sheet     its number as the title block says it; a further page of a sheet adds its page: `12 (2)`
    title     the sheet's title
    svg       self-contained SVG
    width_pt, height_pt   size at which it is printed, in points; no text is then under 6.5 pt
    alt       what a reader who cannot see it should know
    number    the sheet's number without the page
    places    item id -> zone of the frame (`C4`) in which its id stands; `C4+D6` for what is drawn at two places
    dot       the graph that was given to dot
    titles    the words of the title block
    """

    sheet: str
    title: str
    svg: str
    width_pt: float
    height_pt: float
    alt: str
    number: str = ""
    places: Mapping[str, str] = field(default_factory=dict)
    dot: str = ""
    titles: Titles = NO_TITLES

    @property
    def own_sheet(self) -> str:
        """The number of the sheet that this is a page of, as the author wrote it."""
        return self.number or self.sheet
