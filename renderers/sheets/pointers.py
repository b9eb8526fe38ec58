"""Where else a thing stands: `see sheets 12, 28 (2)` beside it, or `more on P (6)` where only its own sheet has more of it.

Pages get their names last. So a box keeps room for the words, and they are set when the names are known.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import NamedTuple

from compiler.changes.drawn import sheet_of
from renderers.sheets.ink import Shape, Words
from renderers.sheets.labels import LEADING, SMALL, wrap

_DIGIT = 4.0  # points: one figure more than there is room for still keeps clear of what stands beside


class Pointer(NamedTuple):
    """Room for the words of an item: where they are anchored, their upper edge, their width and number of lines."""

    item: str
    x: float
    y: float
    anchor: str
    wide: float
    lines: int


def pointer_words(here: str, pages: Sequence[str]) -> str:
    """`see sheets 12, 28 (2)` for other pages, or nothing. `here`: the number of the sheet at hand, or one of its pages."""
    if not pages:
        return ""
    own = sheet_of(here)
    lead = "more on" if all(sheet_of(page) == own for page in pages) else "see sheets" if len(pages) > 1 else "see sheet"
    return f"{lead} {', '.join(_runs(pages))}"


def pointer_ink(pointer: Pointer, here: str, pages: Sequence[str]) -> list[Shape]:
    """The words for some pages, in order, where there is room for them: of each sheet the first page alone, if all are
    too many; of the own sheet then the next."""
    few = [_first(here, list(of)) for _, of in groupby(pages, sheet_of)]
    tries = [wrap(pointer_words(here, names), pointer.wide, SMALL) for names in (pages, few)]
    tries.append(wrap(pointer_words(here, few), pointer.wide + _DIGIT, SMALL, most=pointer.lines))
    lines = next((lines for lines in tries if len(lines) <= pointer.lines), tries[-1])
    base = pointer.y + SMALL * 0.82
    return [
        Words(pointer.x, base + place * SMALL * LEADING, line, SMALL, False, pointer.anchor)
        for place, line in enumerate(lines)
    ]


def _first(here: str, pages: Sequence[str]) -> str:
    """The first of a sheet's pages; of the own sheet the next one, so that whoever goes on comes round to all."""
    if sheet_of(here) != sheet_of(pages[0]):
        return pages[0]
    return next((page for page in pages if _place(page) > _place(here)), pages[0])


def _runs(pages: Sequence[str]) -> list[str]:
    """Names of pages; three or more of a sheet that follow each other as `16 to 16 (3)`."""
    found: list[str] = []
    rows = enumerate(pages)
    for _, group in groupby(rows, lambda row: (sheet_of(row[1]), _place(row[1]) - row[0])):
        names = [page for _, page in group]
        found += [f"{names[0]} to {names[-1]}"] if len(names) > 2 else names
    return found


def _place(page: str) -> int:
    """Which page of its sheet a name stands for."""
    number = page.rpartition(" (")[2].removesuffix(")") if page.endswith(")") else ""
    return int(number) if number.isdigit() else 1
