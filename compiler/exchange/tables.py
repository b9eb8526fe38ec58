"""Bytes of a CSV file to cells: encoding, delimiter, quotes. Made for files of which nothing is known.

Tried in order: a byte order mark, UTF-8, Windows-1252. The delimiter (comma, semicolon, tab, bar) is the one that gives
the most headings that are known.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from typing import NamedTuple

from compiler.exchange.problems import Remark, Sort, WireListError

MAX_BYTES = 64 * 1024 * 1024
MAX_ROWS = 200_000
MAX_COLUMNS = 500
MAX_CELL = 500  # characters; a title or note is shorter, and a line of a source has a limit

_DELIMITERS = ",;\t|"
_MARKS = ((b"\xef\xbb\xbf", "utf-8"), (b"\xff\xfe\x00\x00", "utf-32"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))


class Row(NamedTuple):
    """The cells of one row, blanks around them taken off, and the line at which it starts (from 1)."""

    line: int
    cells: tuple[str, ...]


class Table(NamedTuple):
    """A CSV file. Every row has as many cells as there are headings."""

    name: str
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    delimiter: str
    remarks: tuple[Remark, ...]


def read_table(name: str, data: bytes, known: Callable[[str], bool]) -> Table:
    """The table in `data`.

    name   name of the file, for messages
    known  whether a heading is one that the reader understands

    Empty rows are left out. Raises WireListError for data that is no table, or too large.
    """
    if len(data) > MAX_BYTES:
        raise WireListError(f"{name}: larger than {MAX_BYTES // 1024 // 1024} MiB")
    text, remarks = _decoded(name, data)
    delimiter = _delimiter(name, text, known)
    rows = list(_rows(name, text, delimiter, remarks))
    if not rows:
        raise WireListError(f"{name}: is empty")
    headings = rows[0].cells
    width = len(headings)
    if width > MAX_COLUMNS:
        raise WireListError(f"{name}: more than {MAX_COLUMNS} columns")
    kept = []
    for row in rows[1:]:
        if len(row.cells) > width and any(row.cells[width:]):
            beyond = " ".join(cell for cell in row.cells[width:] if cell)
            remarks.append(Remark(Sort.NOT_READ, name, row.line, "", beyond, "this row has more cells than headings"))
        kept.append(Row(row.line, (*row.cells[:width], *[""] * (width - len(row.cells)))))
    return Table(name, headings, tuple(kept), delimiter, tuple(remarks))


def _decoded(name: str, data: bytes) -> tuple[str, list[Remark]]:
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            try:
                return data.decode("utf-8-sig" if encoding == "utf-8" else encoding), []
            except UnicodeDecodeError as error:
                raise WireListError(f"{name}: says that it is {encoding.upper()}, but is not") from error
    try:
        return data.decode("utf-8"), []
    except UnicodeDecodeError:
        # Every byte means something in Windows-1252 but for five, which have no business in a list.
        says = "the file is not UTF-8 text and was read as Windows-1252; look at letters such as ä and é"
        return data.decode("cp1252", "replace"), [Remark(Sort.ASSUMED, name, 0, "", "", says)]


def _delimiter(name: str, text: str, known: Callable[[str], bool]) -> str:
    """The delimiter that gives the most known headings; of equals, the one that gives the most headings."""
    lines = text.lstrip("\r\n\t ").splitlines()
    if not lines:
        raise WireListError(f"{name}: is empty")

    def worth(delimiter: str) -> tuple[int, int]:
        try:
            headings = next(csv.reader(io.StringIO(lines[0]), delimiter=delimiter, skipinitialspace=True), [])
        except csv.Error:
            return (0, 0)
        return (sum(1 for heading in headings if known(heading.strip())), len(headings))

    return max(_DELIMITERS, key=worth)


def _rows(name: str, text: str, delimiter: str, remarks: list[Remark]) -> list[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, skipinitialspace=True)
    rows: list[Row] = []
    line = 1
    try:
        for cells in reader:
            start, line = line, reader.line_num + 1
            stripped = tuple(cell.strip() for cell in cells)
            if not any(stripped):
                continue
            if any(len(cell) > MAX_CELL for cell in stripped):
                says = f"a cell of more than {MAX_CELL} characters was cut"
                remarks.append(Remark(Sort.NOT_READ, name, start, "", "", says))
                stripped = tuple(cell[:MAX_CELL] for cell in stripped)
            rows.append(Row(start, stripped))
            if len(rows) > MAX_ROWS:
                raise WireListError(f"{name}: more than {MAX_ROWS} rows")
    except csv.Error as error:
        raise WireListError(f"{name}: line {reader.line_num}: {error}") from error
    return rows
