"""What the pages of sheets look like, by digests: kept with a pack, so that the next issue can tell which differ."""

from __future__ import annotations

import re
from html import unescape
from typing import TYPE_CHECKING

from compiler.changes.drawn import Drawn, Look
from renderers.sheets.figure import SheetFigure
from renderers.store import code_digest, digest

if TYPE_CHECKING:
    from renderers.context import PackContext

DRAWING = ("compiler/model", "compiler/network", "compiler/standards", "renderers/drawings", "renderers/sheets")
"""Folders of the code that decides what a sheet looks like, at rest and in a state."""

_LENGTH = 16  # hex digits of a digest
_FRAME = re.compile(r'<g class="frame".*?</g></g>', re.DOTALL)
_UNSEEN = re.compile(r' (?:data-[a-z]+|class)="[^"]*"')
_GROUP = re.compile(r"(?=<g )")
_UNIT = re.compile(r'(?=<g class="(?:arrow|bus|connector|device|ground|label|loose|mark|reading|splice|wire)")')
_TEXT = re.compile(r"<text[^>]*>([^<]*)</text>")
_SEE = re.compile(r"\b(?:see sheets?|more on) [\w-]+(?: \(\d+\))?(?:, ?[\w-]+(?: \(\d+\))?)*")


def look_of(figure: SheetFigure) -> Look:
    """What a page looks like. Vehicle and issue, which every page names, and the page's own number are left out."""
    titles = figure.titles
    ink = _FRAME.sub("", figure.svg)
    # What is drawn first does not matter.
    groups = sorted(_UNSEEN.sub("", group) for group in _GROUP.split(ink))
    head = figure.title, titles.system, titles.state, titles.settings
    return Look(digest((*head, "", *groups))[:_LENGTH], digest(sorted(names_on(figure)))[:_LENGTH])


def names_on(figure: SheetFigure) -> list[str]:
    """The words of a page that lead to other sheets: at its arrows, and after `see sheet` and `more on`."""
    found: list[str] = []
    for unit in _UNIT.split(_FRAME.sub("", figure.svg)):
        words = " ".join(map(unescape, _TEXT.findall(unit)))
        found += [words] if unit.startswith('<g class="arrow"') else _SEE.findall(words)
    return found


def words_on(figure: SheetFigure) -> str:
    """All words of a page in the order of its drawing."""
    return " ".join((figure.title, *map(unescape, _TEXT.findall(_FRAME.sub("", figure.svg)))))


def drawn_of(context: PackContext) -> Drawn:
    """What the pages of a pack look like."""
    return Drawn(
        code_digest(DRAWING)[:_LENGTH],
        {page: look_of(figure) for page, figure in context.sheets.items()},
        {one.state.id: {figure.sheet: look_of(figure) for figure in one.figures} for one in context.lit if one.figures},
    )
