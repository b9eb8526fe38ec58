"""Finished sheets kept between runs: of each sheet its pages, of each page the figure.

The key of a sheet is made of our code, the dot program, and all that the sheet sees of the variant (`renderers.sheets.sight`);
the key of a figure of that, which page it is, and the names of pages at its arrows and things, which depend on other
sheets.
What is kept are plain values, read by their declared types.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from renderers.coding import decoded, encoded
from renderers.sheets.arrows import Aim, aims, pointing
from renderers.sheets.figure import SheetFigure
from renderers.sheets.pages import SheetPage
from renderers.sheets.remembered import program_digest
from renderers.store import Store, code_digest, digest


class Shown(NamedTuple):
    """What one page shows: its whole wires, one end (0 or 1) of others, where its arrows lead, and the things that say where
    else they stand; its mean potential."""

    wires: tuple[str, ...]
    cuts: tuple[Aim, ...]
    aims: tuple[Aim, ...]
    items: tuple[str, ...]
    potential: float


class _Pages(NamedTuple):
    pages: tuple[Shown, ...]


def shown_on(page: SheetPage) -> Shown:
    """What a page shows."""
    content = page.content
    cuts = tuple((wire.id, side) for wire, side in content.cuts)
    return Shown(tuple(wire.id for wire in content.wires), cuts, aims(page.layout), pointing(page.layout), page.potential)


class KeptSheets:
    """The sheets in a store, as one dot program places them. Raises DotError when there is no such program."""

    def __init__(self, store: Store, dot: str | None) -> None:
        self.store = store
        self._maker = digest((code_digest(), program_digest(dot)))

    def key(self, told: Iterable[str]) -> str:
        """The key of a sheet: `told` is all that it sees."""
        return digest(("sheet", self._maker, *told))

    def pages(self, key: str) -> tuple[Shown, ...]:
        """What the pages of a sheet show, in order; nothing if that is not kept."""
        data = self.store.get(key)
        try:
            found: _Pages = decoded(_Pages, data) if data is not None else _Pages(())
        except ValueError:
            return ()
        return found.pages

    def keep_pages(self, key: str, pages: Sequence[Shown]) -> None:
        """Keep what the pages of a sheet show."""
        self.store.put(key, encoded(_Pages(tuple(pages))))

    def figure(self, key: str) -> SheetFigure | None:
        """A figure; None if it is not kept."""
        data = self.store.get(key)
        try:
            found: SheetFigure | None = decoded(SheetFigure, data) if data is not None else None
        except ValueError:
            return None
        return found

    def keep_figure(self, key: str, figure: SheetFigure) -> None:
        """Keep a figure."""
        self.store.put(key, encoded(figure))


def figure_key(
    key: str, place: int, of: tuple[int, int], arrows: Sequence[str], others: Sequence[Sequence[str]]
) -> str:
    """The key of a page's figure: `key` that of its sheet, or portion of one, and `place` its place there; `of`: which page
    of how many; `arrows` and `others`: the names of pages at its arrows and things."""
    return digest(("page", key, repr((place, of, tuple(map(tuple, others)))), *arrows))
