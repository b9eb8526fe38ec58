"""Wire lists, item lists and fuse lists as typed rows. What a cell says is kept even where it cannot be read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from compiler.exchange import cells
from compiler.exchange.columns import Column, Columns, folded, read_columns, words
from compiler.exchange.problems import Remark, Sort
from compiler.exchange.tables import Row
from compiler.standards.colours import ColourTable


class EndCell(NamedTuple):
    """Where a wire ends: item and cavity as the list writes them, empty where not given."""

    item: str
    cavity: str


class WireRow(NamedTuple):
    """One wire. `size` (`2.5 mm2`), `colour` (code) and `length` (`730.38 mm`) are None where not given or not read.

    colour_written  what the list says of the colour, read or not; empty where nothing
    notes           what else the row says, and what could not be read
    """

    line: int
    wire: str
    circuit: str
    cable: str
    a: EndCell
    b: EndCell
    colour: str | None
    size: str | None
    length: str | None
    type: str
    colour_written: str
    notes: tuple[str, ...]


class ItemRow(NamedTuple):
    """One item. `kind` is a key of the data file's `[kinds]`; `cavities` None where not given."""

    line: int
    item: str
    kind: str
    title: str
    cavities: int | None
    component: str
    notes: tuple[str, ...]


class FuseRow(NamedTuple):
    """One fuse. `rating` (`7.5 A`) and `type` (`blade`) are empty where not given or not read."""

    line: int
    fuse: str
    title: str
    rating: str
    type: str
    notes: tuple[str, ...]


class WireList(NamedTuple):
    """All rows, in the order of the lists, and what a person should look at."""

    wires: tuple[WireRow, ...]
    items: tuple[ItemRow, ...]
    fuses: tuple[FuseRow, ...]
    remarks: tuple[Remark, ...]


class File(NamedTuple):
    """A list's name, for messages, and its bytes."""

    name: str
    data: bytes


MAX_CAVITIES = 1000
_AMPERE = re.compile(r"(?<![\w.,])(\d+(?:[.,]\d+)?)\s*A(?:mp(?:ere|s)?)?\b", re.IGNORECASE)


class _Reader:
    """The rows of one list, cell by cell, with remarks."""

    def __init__(self, columns: Columns) -> None:
        self.columns = columns
        self.name = columns.table.name
        self.remarks = list(columns.remarks)

    def column(self, field: str) -> Column | None:
        return self.columns.by_field.get(field)

    def text(self, row: Row, field: str) -> str:
        """What a cell says; empty when the column is not there or nothing is said."""
        column = self.column(field)
        text = row.cells[column.place] if column else ""
        return text if cells.given(text) else ""

    def written(self, field: str) -> Iterator[str]:
        column = self.column(field)
        if column is not None:
            for row in self.columns.table.rows:
                yield row.cells[column.place]

    def not_read(self, row: Row, field: str, value: str, says: str) -> str:
        """A remark, and the note that keeps what the cell says."""
        column = self.column(field)
        heading = column.heading if column else field
        self.remarks.append(Remark(Sort.NOT_READ, self.name, row.line, heading, value, says))
        return f"{heading} in the list: {value}"

    def remark(self, sort: Sort, line: int, field: str, value: str, says: str) -> None:
        column = self.column(field)
        self.remarks.append(Remark(sort, self.name, line, column.heading if column else "", value, says))


def read_wire_list(wires: File, items: File | None, fuses: File | None, colours: ColourTable) -> WireList:
    """The rows of a wire list and of the lists that go with it. Raises WireListError for a list that cannot be used."""
    reader = _Reader(read_columns(wires.name, wires.data, "wires", ("from_item", "to_item")))
    wire_rows = tuple(_wires(reader, colours))
    remarks = reader.remarks
    item_rows: tuple[ItemRow, ...] = ()
    fuse_rows: tuple[FuseRow, ...] = ()
    if items is not None:
        reader = _Reader(read_columns(items.name, items.data, "items", ("item",)))
        item_rows = tuple(_items(reader))
        remarks = remarks + reader.remarks
    if fuses is not None:
        reader = _Reader(read_columns(fuses.name, fuses.data, "fuses", ("fuse",)))
        fuse_rows = tuple(_fuses(reader))
        remarks = remarks + reader.remarks
    return WireList(wire_rows, item_rows, fuse_rows, tuple(remarks))


def _wires(reader: _Reader, colours: ColourTable) -> Iterator[WireRow]:
    comma = cells.decimal_comma((*reader.written("size"), *reader.written("length")))
    for number, row in enumerate(reader.columns.table.rows, 1):
        notes: list[str] = []
        wire = reader.text(row, "wire")
        if not wire:
            wire = f"W{number}"
            reader.remark(Sort.ASSUMED, row.line, "wire", "", f"no wire number is given; it is called {wire}")
        a, b = (_end(reader, row, side, notes) for side in ("from", "to"))
        colour = _colour(reader, row, colours, notes)
        size = _measure(reader, row, "size", comma, notes)
        length = _measure(reader, row, "length", comma, notes)
        kind = reader.text(row, "type")
        if folded(kind) in words("wire_types"):
            kind = ""
        if note := reader.text(row, "note"):
            notes.append(note)
        written = "/".join(filter(None, (reader.text(row, "colour"), reader.text(row, "tracer"))))
        circuit, cable = reader.text(row, "circuit"), reader.text(row, "cable")
        yield WireRow(row.line, wire, circuit, cable, a, b, colour, size, length, kind, written, tuple(notes))


def _end(reader: _Reader, row: Row, side: str, notes: list[str]) -> EndCell:
    item, cavity = reader.text(row, f"{side}_item"), reader.text(row, f"{side}_cavity")
    if item and reader.column(f"{side}_cavity") is None and ":" in item.strip(":"):
        # Lists without a column for cavities write both in one cell.
        item, _, cavity = (part.strip() for part in item.rpartition(":"))
    if cavity and not item:
        says = "a cavity without the item that it belongs to"
        notes.append(reader.not_read(row, f"{side}_cavity", cavity, says))
        cavity = ""
    return EndCell(item, cavity)


def _colour(reader: _Reader, row: Row, table: ColourTable, notes: list[str]) -> str | None:
    base, tracer = reader.text(row, "colour"), reader.text(row, "tracer")
    try:
        return cells.colour(base, tracer, table)
    except cells.ColourError as error:
        value = f"{base}/{tracer}" if tracer else base
        hint = f"; {error.suggestion} may be meant" if error.suggestion else ""
        notes.append(reader.not_read(row, "colour", value, f"{error}{hint}"))
        return None


def _measure(reader: _Reader, row: Row, field: str, comma: bool, notes: list[str]) -> str | None:
    text, column = reader.text(row, field), reader.column(field)
    if not text or column is None:
        return None
    read = cells.size if field == "size" else cells.length
    found = read(text, column.unit, comma)
    if found is None:
        units = ("mm2", "AWG") if field == "size" else ("mm", "cm", "m")
        says = f"no {field}"
        if re.fullmatch(r"0+(?:[.,]0+)?\s*[a-z]*", text):
            says = f"a wire has no {field} of 0"
        elif not column.unit and not re.search(r"[^\W\d_]", text):
            says = f"nothing says the unit; name it in the heading, for example `{column.heading}_{units[0]}`"
        notes.append(reader.not_read(row, field, text, says))
    return found


def _items(reader: _Reader) -> Iterator[ItemRow]:
    seen: dict[str, int] = {}
    for row in reader.columns.table.rows:
        notes: list[str] = []
        item = reader.text(row, "item")
        title = reader.text(row, "description")
        if not item:
            reader.remark(Sort.NOT_READ, row.line, "item", title, "a row without an item's id was left out")
            continue
        if item in seen:
            says = f"{item} stands in line {seen[item]} already; this row was left out"
            reader.remark(Sort.NOT_READ, row.line, "item", item, says)
            continue
        seen[item] = row.line
        written = reader.text(row, "kind")
        kind = words("kinds").get(folded(written), "")
        if not kind:
            kind = "connector"
            notes.append(reader.not_read(row, "kind", written, f"`{written}` is no known kind of item"))
        count = reader.text(row, "cavities")
        cavities = int(count) if re.fullmatch(r"\d{1,4}", count) and count.isascii() else None
        if count and not (cavities and cavities <= MAX_CAVITIES):
            cavities = None
            notes.append(reader.not_read(row, "cavities", count, f"no number of cavities from 1 to {MAX_CAVITIES}"))
        if note := reader.text(row, "note"):
            notes.append(note)
        yield ItemRow(row.line, item, kind, title, cavities, reader.text(row, "component"), tuple(notes))


def _fuses(reader: _Reader) -> Iterator[FuseRow]:
    seen: set[str] = set()
    for row in reader.columns.table.rows:
        notes: list[str] = []
        fuse = reader.text(row, "fuse")
        if not fuse or fuse in seen:
            says = "a row without a fuse's id, or with one given before, was left out"
            reader.remark(Sort.NOT_READ, row.line, "fuse", fuse, says)
            continue
        seen.add(fuse)
        written = reader.text(row, "rating")
        column = reader.column("rating")
        amperes = _AMPERE.findall(written)
        if not amperes and column is not None and column.unit == "A":
            amperes = re.findall(r"\d+(?:[.,]\d+)?", written)
        value = cells.number(amperes[0], "," in amperes[0]) if len(amperes) == 1 else None
        rating = f"{value} A" if value is not None else ""
        if written and not rating:
            notes.append(reader.not_read(row, "rating", written, "no rating in ampere"))
        told = folded(reader.text(row, "type") + " " + written)
        types = {name for word, name in words("fuse_types").items() if word in told}
        kind = types.pop() if len(types) == 1 else ""
        if not kind and re.sub(_AMPERE, "", written).strip(" ,;"):
            notes.append(reader.not_read(row, "rating", written, "the fuse's type cannot be told from this"))
        if holder := reader.text(row, "holder"):
            heading = reader.column("holder")
            notes.append(f"{heading.heading if heading else 'holder'} in the list: {holder}")
        yield FuseRow(row.line, fuse, reader.text(row, "description"), rating, kind, tuple(dict.fromkeys(notes)))
