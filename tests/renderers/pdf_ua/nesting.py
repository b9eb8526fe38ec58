"""What may stand in what: lists, tables, contents, headings; tables that are regular and know their headers; figures.

ISO 32000-1, 14.8.4 and 14.8.5, and the Matterhorn Protocol, checkpoints 09 and 13 to 15, from memory: grade C.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pikepdf

from tests.renderers.pdf_ua.document import LANGUAGE
from tests.renderers.pdf_ua.found import Violation, get, listed, said
from tests.renderers.pdf_ua.tree import GROUPING, HEADINGS, INLINE, Element, Piece, Tree

ROWS = frozenset(("/THead", "/TBody", "/TFoot"))
# What each may hold; those not named here may hold anything that may stand in it.
HOLDS = {
    "/Table": ROWS | {"/TR", "/Caption"},
    "/THead": frozenset(("/TR",)),
    "/TBody": frozenset(("/TR",)),
    "/TFoot": frozenset(("/TR",)),
    "/TR": frozenset(("/TH", "/TD")),
    "/L": frozenset(("/LI", "/Caption")),
    "/LI": frozenset(("/Lbl", "/LBody")),
    "/TOC": frozenset(("/TOC", "/TOCI", "/Caption")),
    "/TOCI": frozenset(("/Lbl", "/Reference", "/NonStruct", "/P", "/TOC")),
}
# Where each may stand; those not named here may stand anywhere.
STANDS = {
    "/THead": frozenset(("/Table",)),
    "/TBody": frozenset(("/Table",)),
    "/TFoot": frozenset(("/Table",)),
    "/TR": ROWS | {"/Table"},
    "/TH": frozenset(("/TR",)),
    "/TD": frozenset(("/TR",)),
    "/LI": frozenset(("/L",)),
    "/LBody": frozenset(("/LI",)),
    "/TOCI": frozenset(("/TOC",)),
}
# These hold no content themselves.
HOLLOW = (GROUPING - {"/Caption", "/BlockQuote", "/NonStruct", "/Private"}) | ROWS | {"/Table", "/TR", "/L", "/LI"}
LINES = HEADINGS | {"/P"}


def nesting_faults(tree: Tree, sizes: dict[tuple[int, int], list[float]]) -> Iterator[Violation]:
    """`sizes` gives the paper of each page: left, bottom, right, top."""
    level = 0
    for element in tree.elements.values():
        yield from _place(element)
        if element.kind in HEADINGS:
            if element.kind == "/H":
                yield Violation("heading", element.where, "H beside numbered headings")
                continue
            now = int(element.kind[2:])
            if now > level + 1:
                yield Violation("heading", element.where, f"level {now} after level {level}")
            level = now
            if not element.kids:
                yield Violation("heading", element.where, "a heading of nothing")
        elif element.kind == "/Table":
            yield from _table(element)
        elif element.kind in ("/Figure", "/Formula"):
            yield from _figure(element, sizes)
        elif element.kind == "/Note" and "/ID" not in element.thing:
            yield Violation("note", element.where, "a note without an id")
        elif element.kind == "/Link" and not any(piece.number == -1 for piece in element.pieces):
            yield Violation("link-tag", element.where, "a link that holds no annotation")
        elif element.kind == "/L" and element.attribute("/ListNumbering", "/List") is None and _labelled(element):
            yield Violation("list", element.where, "labels, and no word on how they are numbered")
        language = get(element.thing, "/Lang")
        if language is not None and not LANGUAGE.match(said(language)):
            yield Violation("language", element.where, f"Lang is {said(language)!r}")


def _labelled(element: Element) -> bool:
    return any(label.kind == "/Lbl" for item in element.below for label in item.below)


def _place(element: Element) -> Iterator[Violation]:
    above = element.parent.kind if element.parent else "/StructTreeRoot"
    misplaced = element.kind in STANDS and above not in STANDS[element.kind]
    unwanted = above in HOLDS and element.kind not in HOLDS[above]
    if misplaced or unwanted or (element.kind in LINES and above in LINES):
        yield Violation("nesting", element.where, f"{element.kind[1:]} in {above[1:]}")
    elif element.kind == "/Document" and element.parent:
        yield Violation("nesting", element.where, "a document within the document")
    elif (
        element.kind in INLINE
        and above in GROUPING - {"/Caption", "/BlockQuote", "/NonStruct", "/TOCI"}
        and element.attribute("/Placement", "/Layout") != "/Block"
    ):
        yield Violation("nesting", element.where, f"{element.kind[1:]} in {above[1:]}, and no block of its own")
    if element.kind in HOLLOW and any(isinstance(kid, Piece) for kid in element.kids):
        yield Violation("nesting", element.where, "content that stands in no paragraph")


def _table(table: Element) -> Iterator[Violation]:
    order = "".join(
        {"/Caption": "c", "/THead": "h", "/TBody": "b", "/TFoot": "f", "/TR": "r"}.get(e.kind, "?") for e in table.below
    )
    if not re.fullmatch(r"c?(h?b+f?|r+)c?", order):
        yield Violation("table-parts", table.where, f"its parts stand as {[part.tag[1:] for part in table.below]}")
    groups = [part.below if part.kind in ROWS else [part] for part in table.below if part.kind != "/Caption"]
    width = None
    cells: list[tuple[Element, int]] = []
    for group in groups:
        reaching: dict[int, int] = {}  # column -> rows that a cell from above still reaches into it
        for row in group:
            column = 0
            taken = {place for place, rows in reaching.items() if rows}
            reaching = {place: rows - 1 for place, rows in reaching.items() if rows > 1}
            for cell in row.below:
                while column in taken:
                    column += 1
                across, down = (_span(cell, name) for name in ("/ColSpan", "/RowSpan"))
                cells.append((cell, column))
                if any(place in taken for place in range(column, column + across)):
                    yield Violation("table-regular", cell.where, "it overlaps a cell from above")
                taken.update(range(column, column + across))
                if down > 1:
                    reaching.update(dict.fromkeys(range(column, column + across), down - 1))
                column += across
            if width is None:
                width = len(taken)
            elif taken != set(range(width)):
                yield Violation("table-regular", row.where, f"{len(taken)} columns in a table of {width}")
        if any(reaching.values()):
            yield Violation("table-regular", table.where, "a cell reaches below its rows")
    yield from _headers(table, [cell for cell, _ in cells])


def _span(cell: Element, name: str) -> int:
    span = cell.attribute(name, "/Table")
    return span if isinstance(span, int) and span > 0 else 1


def _headers(table: Element, cells: list[Element]) -> Iterator[Violation]:
    heads = [cell for cell in cells if cell.kind == "/TH"]
    if not heads:
        yield Violation("table-headers", table.where, f"none of its {len(cells)} cells is a header")
    own = {bytes(get(cell.thing, "/ID")) for cell in heads if "/ID" in cell.thing}
    for cell in cells:
        names = listed(cell.attribute("/Headers", "/Table"))
        for name in names:
            if not isinstance(name, pikepdf.String) or bytes(name) not in own:
                yield Violation("table-headers", cell.where, f"its header {name} is none of the table's")
        if cell.kind != "/TH":
            continue
        scope = cell.attribute("/Scope", "/Table")
        if scope is not None and scope not in ("/Row", "/Column", "/Both"):
            yield Violation("table-headers", cell.where, f"Scope {scope}")
        if scope is None and "/ID" not in cell.thing:
            yield Violation("table-headers", cell.where, "a header with neither Scope nor ID")


def _figure(figure: Element, sizes: dict[tuple[int, int], list[float]]) -> Iterator[Violation]:
    if not (said(get(figure.thing, "/Alt")).strip() or said(get(figure.thing, "/ActualText")).strip()):
        yield Violation("figure-words", figure.where, "a figure without words in its place")
    if figure.kind != "/Figure":
        return
    box = figure.attribute("/BBox", "/Layout")
    sides = [float(side) for side in box.as_list()] if isinstance(box, pikepdf.Array) and len(box) == 4 else []
    if not sides or sides[0] >= sides[2] or sides[1] >= sides[3]:
        yield Violation("figure-box", figure.where, "no box that says where it stands")
        return
    page = figure.page if figure.page != (0, 0) else next((piece.holder for piece in figure.pieces), (0, 0))
    paper = sizes.get(page)
    if paper and not (
        paper[0] - 2 <= sides[0] and sides[2] <= paper[2] + 2 and paper[1] - 2 <= sides[1] and sides[3] <= paper[3] + 2
    ):
        yield Violation("figure-box", figure.where, f"its box {[*map(round, sides)]} is not on its page")
