"""Alphabetical index: by name, then by id, then by circuit."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from renderers.cells import item_runs
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Entry
from renderers.entries import entries
from renderers.tables import About, Cell, Column, Row, Run, Table, cell, listed, runs_cell
from renderers.text import anchor, initial, natural_key

_BY_NAME = (
    Column("name", "Name", "text", 58),
    Column("id", "Id", "id", 26),
    Column("what", "What", "text", 36),
    Column("sheets", "Sheets, with the zone of the frame", "ref", 58),
)
_BY_ID = (_BY_NAME[1], _BY_NAME[0], *_BY_NAME[2:])
_BY_CIRCUIT = (
    Column("id", "Circuit", "id", 26),
    *_BY_ID[1:2],
    Column("what", "Fed by", "ref", 36),
    Column("sheets", "Sheets", "ref", 58),
)


def _build(context: PackContext) -> Blocks:
    found = entries(context)
    if not found:
        return ()
    named = sorted(found, key=lambda e: (_letter(e), natural_key(e.term), natural_key(e.id), e.what))
    rows: list[Row] = []
    for letter, group in groupby(named, key=_letter):
        rows.append(Row((cell(letter.lstrip("~")), *[cell("")] * 3), marks=("head",)))
        rows += [_row(context, entry, by_name=True) for entry in group]
    return (
        Table("index-names", "By name", _BY_NAME, tuple(rows)),
        Table("index-ids", "By id", _BY_ID, _rows(context, found, circuits=False)),
        Table("index-circuits", "By circuit", _BY_CIRCUIT, _rows(context, found, circuits=True)),
    )


def _rows(context: PackContext, found: Sequence[Entry], *, circuits: bool) -> tuple[Row, ...]:
    return tuple(_row(context, e, by_name=False) for e in found if (e.what == "circuit") is circuits)


def _letter(entry: Entry) -> str:
    letter = initial(entry.term)
    # Digits after the letters, whatever the alphabet.
    return letter if letter.isalpha() else f"~{letter}"


def _sheets(context: PackContext, entry: Entry) -> Cell:
    """Sheets with the zone of the frame, for what stands at one place on each."""
    groups = []
    for sheet in entry.sheets:
        zone = context.zone_on(sheet, entry.id) if entry.what != "circuit" else ""
        groups.append((Run(f"{sheet} {zone}".rstrip(), anchor("sheet", sheet), page=True),))
    return runs_cell(listed(groups))


def _row(context: PackContext, entry: Entry, *, by_name: bool) -> Row:
    name, ident = cell(entry.term), runs_cell((Run(entry.id, entry.anchor, page=True),))
    about = About((entry.id,)) if entry.what == "circuit" else About()
    if entry.what not in ("circuit", "wiring sheet", "zone"):
        about = About(item=entry.id)
    own = entry.what == "wiring sheet"
    what = cell(entry.what)
    if entry.what == "circuit" and not by_name:
        what = runs_cell(listed(item_runs(context, fuse) for fuse in context.feeding(entry.id)))
    rest = (what, cell("") if own else _sheets(context, entry))
    return Row((name, ident, *rest) if by_name else (ident, name, *rest), about=about)


CHART = Chart(300, "index", "Alphabetical index", _build)
