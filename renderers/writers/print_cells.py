"""Tables and runs of text as the print templates read them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import Any, NamedTuple

from compiler.fonts import printable
from renderers.sheets.labels import width
from renderers.tables import NEXT_LINE, Cell, Row, Run, Table, lean
from renderers.unbroken import HELD, held, unbroken
from renderers.writers.html_folder import group_edges, heads

Json = dict[str, Any]

# A row of so many lines, about, may be parted by the end of a page; one of a page and more would be cut off otherwise.
_LONGEST_WHOLE = 25
_REASONS = ("spare", "plugged", "open")
_EMPTY = Cell()
# A table's width, the inset of a cell, the air right of figures, the size of type: points, as in house.typ.
_ACROSS, _INSET, _PAD, _TYPE = 511.0, 6.0, 5.0, 8.0
_CHARACTERS = 112  # of table type that fit beside each other on a page
_GAPS = re.compile(r"[\s\u200b]")
_STRETCH = re.compile(r"[^\s/-]+")


class _Room(NamedTuple):
    """What a column has room for: about how many characters, how many points; and whether it is one of ids."""

    limit: int
    points: float
    ids: bool = False


_PARAGRAPH = _Room(60, 200.0)


def table_data(table: Table) -> Json:
    """A table; its title is the head of the block that it makes."""
    table = lean(table)
    widths = _widths(table)
    rooms = [
        _Room(max(4, int(wide / sum(widths) * _CHARACTERS)), wide / sum(widths) * _ACROSS - _INSET, c.kind == "id")
        for wide, c in zip(widths, table.columns, strict=True)
    ]
    return {
        "t": "table",
        "title": printable(table.title),
        "heads": _heads(table),
        "columns": [
            {"title": printable(c.title), "width": wide, "kind": c.kind, "edge": edge}
            for c, wide, edge in zip(table.columns, widths, group_edges(table), strict=True)
        ],
        "rows": [_row(row, rooms) for row in table.rows],
        "notes": [unbroken(printable(note)) for note in table.notes],
    }


def _heads(table: Table) -> list[list[str | int]]:
    """The upper row of the head. It stands again on every page of the table, so it says whose table it is."""
    spans: list[list[str | int]] = [[printable(title), span] for title, span in heads(table)]
    if spans and not spans[0][0]:
        spans[0][0] = printable(table.member)
    return spans


def _widths(table: Table) -> list[float]:
    """The widths of columns; one of figures beside another is as wide as the longest word of its title, which else
    would run into the title before it."""
    total = sum(column.width for column in table.columns)
    widths = [column.width for column in table.columns]
    for place, (before, column) in enumerate(pairwise(table.columns), 1):
        if before.kind == column.kind == "number":
            widths[place] = max(column.width, round((_longest(column.title) + _INSET + _PAD) / _ACROSS * total, 1))
    return widths


def _longest(title: str) -> float:
    return max((width(word, _TYPE, bold=True) for word in title.split()), default=0.0)


def _row(row: Row, rooms: list[_Room]) -> Json:
    head = "head" in row.marks
    lines = max((len(cell.text) / room.limit for cell, room in zip(row.cells, rooms, strict=True)), default=0)
    return {
        "a": row.anchor,
        "h": head,
        "g": bool(row.marks) and not head,
        "b": lines > _LONGEST_WHOLE,
        "c": list(_cells(row, rooms)),
    }


def _cells(row: Row, rooms: list[_Room]) -> Iterator[str | Json]:
    """The cells of a row. Why there is no wire takes more room than an id: the empty cell beside it too."""
    spread = False
    for place, (cell, room) in enumerate(zip(row.cells, rooms, strict=True)):
        if spread:
            spread = False
            continue
        spread = cell.mark in _REASONS and row.cells[place + 1 : place + 2] == (_EMPTY,)
        if spread:
            both = room._replace(limit=room.limit + rooms[place + 1].limit)
            yield {"r": runs_data(cell.runs, both), "m": cell.mark, "w": 2}
        else:
            yield _cell(cell, room)


def _cell(cell: Cell, room: _Room) -> str | Json:
    runs = runs_data(cell.runs, room)
    if cell.swatch is None and not cell.mark and isinstance(runs, str):
        return runs
    data: Json = {"r": runs}
    if cell.swatch:
        data["s"] = [cell.swatch.base, *cell.swatch.stripes]
    if cell.mark:
        data["m"] = cell.mark
    return data


def runs_data(runs: Iterable[Run], room: _Room = _PARAGRAPH) -> str | list[Any]:
    """Runs as the template reads them: one string where that is all there is."""
    shown: list[Any] = []
    for text, link, muted, page in held(runs):
        if text == NEXT_LINE:
            shown.append(";\n")
            continue
        words = printable(text)
        if not link.startswith("sheet-"):
            words = _breakable(words, room.limit)
        whole = (room.ids or link.startswith("item-")) and _is_whole(words, room)
        shown.append([words, link, muted, page, whole] if link or muted or page or whole else words)
    if all(isinstance(run, str) for run in shown):
        return "".join(shown)
    return shown


def _is_whole(words: str, room: _Room) -> bool:
    """Whether words are an id that could be broken behind its hyphen (`MAIN-BUS`) and has no need to be."""
    return "-" in words and not _GAPS.search(words) and width(words, _TYPE, bold=room.ids) <= room.points


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
