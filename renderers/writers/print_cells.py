"""Tables and runs of text as the print templates read them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any

from compiler.fonts import printable
from renderers.tables import NEXT_LINE, Cell, Row, Run, Table, lean
from renderers.unbroken import HELD, held, unbroken
from renderers.writers.html_folder import group_edges, heads

Json = dict[str, Any]

# A row of so many lines, about, may be parted by the end of a page; one of a page and more would be cut off otherwise.
_LONGEST_WHOLE = 25
_REASONS = ("spare", "plugged", "open")
_EMPTY = Cell()
_STRETCH = re.compile(r"[^\s/-]+")


def table_data(table: Table) -> Json:
    """A table; its title is the head of the block that it makes."""
    table = lean(table)
    limits = [_limit(column.width, table) for column in table.columns]
    return {
        "t": "table",
        "title": printable(table.title),
        "heads": _heads(table),
        "columns": [
            {"title": printable(c.title), "width": c.width, "kind": c.kind, "edge": edge}
            for c, edge in zip(table.columns, group_edges(table), strict=True)
        ],
        "rows": [_row(row, limits) for row in table.rows],
        "notes": [unbroken(printable(note)) for note in table.notes],
    }


def _heads(table: Table) -> list[list[str | int]]:
    """The upper row of the head. It stands again on every page of the table, so it says whose table it is."""
    spans: list[list[str | int]] = [[printable(title), span] for title, span in heads(table)]
    if spans and not spans[0][0]:
        spans[0][0] = printable(table.member)
    return spans


def _limit(width: float, table: Table) -> int:
    """About how many characters of table type fit in a column."""
    total = sum(column.width for column in table.columns)
    return max(4, int(width / total * 112))


def _row(row: Row, limits: list[int]) -> Json:
    head = "head" in row.marks
    lines = max((len(cell.text) / limit for cell, limit in zip(row.cells, limits, strict=True)), default=0)
    return {
        "a": row.anchor,
        "h": head,
        "g": bool(row.marks) and not head,
        "b": lines > _LONGEST_WHOLE,
        "c": list(_cells(row, limits)),
    }


def _cells(row: Row, limits: list[int]) -> Iterator[str | Json]:
    """The cells of a row. Why there is no wire takes more room than an id: the empty cell beside it too."""
    spread = False
    for place, (cell, limit) in enumerate(zip(row.cells, limits, strict=True)):
        if spread:
            spread = False
            continue
        spread = cell.mark in _REASONS and row.cells[place + 1 : place + 2] == (_EMPTY,)
        if spread:
            yield {"r": runs_data(cell.runs, limit + limits[place + 1]), "m": cell.mark, "w": 2}
        else:
            yield _cell(cell, limit)


def _cell(cell: Cell, limit: int) -> str | Json:
    runs = runs_data(cell.runs, limit)
    if cell.swatch is None and not cell.mark and isinstance(runs, str):
        return runs
    data: Json = {"r": runs}
    if cell.swatch:
        data["s"] = [cell.swatch.base, *cell.swatch.tracers]
    if cell.mark:
        data["m"] = cell.mark
    return data


def runs_data(runs: Iterable[Run], limit: int = 60) -> str | list[Any]:
    """Runs as the template reads them: one string where that is all there is."""
    shown: list[Any] = []
    for text, link, muted, page in held(runs):
        if text == NEXT_LINE:
            shown.append(";\n")
            continue
        words = printable(text)
        if not link.startswith("sheet-"):
            words = _breakable(words, limit)
        shown.append([words, link, muted, page] if link or muted or page else words)
    if all(isinstance(run, str) for run in shown):
        return "".join(shown)
    return shown


def _breakable(text: str, limit: int) -> str:
    """The text with places to break in stretches that are longer than their column and offer none."""
    if len(text) <= limit:
        return text
    # What is held together and longer than its column comes apart where it was held.
    loose = " ".join(word.replace(HELD, " ") if len(word) > limit else word for word in text.split(" "))
    return _STRETCH.sub(lambda match: _broken(match[0], limit), loose)


def _broken(stretch: str, limit: int) -> str:
    if len(stretch) <= limit:
        return stretch
    return "\u200b".join(stretch[at : at + limit - 1] for at in range(0, len(stretch), limit - 1))
