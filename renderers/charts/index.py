"""Alphabetical index: by name, then by id, then by circuit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from renderers.cells import item_runs
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Entry
from renderers.entries import CHARTED, COMPLAINT, SHEET, entries, words_of
from renderers.tables import About, Cell, Column, Row, Run, Table, cell, listed, runs_cell
from renderers.text import anchor, initial, natural_key

_BY_NAME = (
    Column("name", "Name", "text", 52),
    Column("id", "Id", "id", 24),
    Column("what", "What", "text", 42),
    Column("sheets", "Sheets, with the zone of the frame", "ref", 60),
)
_BY_ID = (_BY_NAME[1], _BY_NAME[0], *_BY_NAME[2:])
_BY_CIRCUIT = (
    Column("id", "Circuit", "id", 26),
    *_BY_ID[1:2],
    Column("what", "Fed by", "ref", 36),
    Column("sheets", "Sheets", "ref", 58),
)
_PLAIN = frozenset({"circuit", SHEET, "zone", *CHARTED})  # what is no item


class _Line(NamedTuple):
    """A line of the index by name: the words it stands under, and its row."""

    words: str
    entry: Entry
    row: Row

    @property
    def letter(self) -> str:
        letter = initial(self.words)
        # Digits after the letters, whatever the alphabet.
        return letter if letter.isalpha() else f"~{letter}"


def _build(context: PackContext) -> Blocks:
    found = [entry for entry in entries(context) if entry.what != SHEET or _first(context, entry.id)]
    if not found:
        return ()
    lines = sorted(_lines(context, found), key=_order)
    rows: list[Row] = []
    for letter, group in groupby(lines, key=lambda line: line.letter):
        rows.append(Row((cell(letter.lstrip("~")), *[cell("")] * 3), marks=("head",)))
        rows += [line.row for line in group]
    known = [entry for entry in found if entry.id]
    return (
        Table("index-names", "By name", _BY_NAME, tuple(rows)),
        Table("index-ids", "By id", _BY_ID, _rows(context, known, circuits=False)),
        Table("index-circuits", "By circuit", _BY_CIRCUIT, _rows(context, known, circuits=True)),
    )


def _order(line: _Line) -> tuple[object, ...]:
    entry = line.entry
    return line.letter, natural_key(line.words), natural_key(entry.id), entry.what, natural_key(entry.term)


def _lines(context: PackContext, found: Sequence[Entry]) -> Iterator[_Line]:
    """A line for each entry, and for complaints one for each word that they may be looked up by. A component and its
    connectors share theirs, where these go by its name alone."""
    shared: dict[str, list[Entry]] = {}
    for entry in found:
        if component := _told_with(context, entry):
            shared.setdefault(component, []).append(entry)
    for entry in found:
        if _told_with(context, entry):
            continue
        own = shared.get(entry.id, ()) if entry.what not in _PLAIN else ()
        yield _Line(entry.term, entry, _row(context, entry, by_name=True, connectors=own))
        for word in words_of(entry.term) if entry.what in CHARTED else ():
            yield _Line(f"{word} {entry.term}", entry, _row(context, entry, by_name=True, word=word))


def _told_with(context: PackContext, entry: Entry) -> str:
    """The component whose line names a connector too; empty for everything else."""
    connector = context.variant.connectors.get(entry.id) if entry.what not in _PLAIN else None
    return connector.device if connector and not connector.title and connector.device in context.variant.devices else ""


def _rows(context: PackContext, found: Sequence[Entry], *, circuits: bool) -> tuple[Row, ...]:
    return tuple(_row(context, e, by_name=False) for e in found if (e.what == "circuit") is circuits)


def _first(context: PackContext, page: str) -> bool:
    """Whether a page of a wiring sheet is its first."""
    return context.pages_of(context.sheets[page].own_sheet)[0].sheet == page


def _sheets(context: PackContext, entry: Entry) -> Cell:
    """Sheets with the zone of the frame, for what stands at one place on each; of a sheet its further pages."""
    groups = []
    pages = entry.sheets
    if entry.what == SHEET:
        pages = tuple(figure.sheet for figure in context.pages_of(context.sheets[entry.id].own_sheet)[1:])
    for sheet in pages:
        zone = context.zone_on(sheet, entry.id) if entry.what not in ("circuit", SHEET) else ""
        groups.append((Run(f"{sheet} {zone}".rstrip(), anchor("sheet", sheet), page=True),))
    return runs_cell(listed(groups))


def _row(context: PackContext, entry: Entry, *, by_name: bool, word: str = "", connectors: Iterable[Entry] = ()) -> Row:
    name = runs_cell((Run(f"{word}: "), Run(entry.term, muted=True))) if word else cell(entry.term)
    ident = runs_cell((Run("chart" if entry.what == COMPLAINT else entry.id, entry.anchor, page=True),))
    about = About((entry.id,)) if entry.what == "circuit" else About()
    if entry.what not in _PLAIN:
        about = About(item=entry.id)
    what = _what(context, entry, by_name=by_name, connectors=connectors)
    rest = (what, _sheets(context, entry))
    return Row((name, ident, *rest) if by_name else (ident, name, *rest), about=about)


def _what(context: PackContext, entry: Entry, *, by_name: bool, connectors: Iterable[Entry]) -> Cell:
    """What it is; for a component its connectors too, with their pages; for a circuit by number what feeds it."""
    if entry.what == "circuit" and not by_name:
        return runs_cell(listed(item_runs(context, fuse) for fuse in context.feeding(entry.id)))
    plugs = ((Run("connector "), Run(one.id, one.anchor, page=True)) for one in connectors)
    return runs_cell(listed(((Run(entry.what),), *plugs)))


CHART = Chart(300, "index", "Alphabetical index", _build)
