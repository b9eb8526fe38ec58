"""The pack's tables as CSV files, for spreadsheets: one file a table, one for a family of tables.

UTF-8 with a byte order mark (spreadsheets take UTF-8 for something else without it), comma, CRLF (RFC 4180). A cell that a
spreadsheet would take for a formula gets an apostrophe in front, which spreadsheets show as text.
"""

from __future__ import annotations

import csv
import io
import re

from renderers.document import Pack
from renderers.tables import Column, Table
from renderers.text import clean

# Also the full-width forms, which some spreadsheets read as the plain ones.
_FORMULA = re.compile(r"\s*[=+\-@\t\r\uff1d\uff0b\uff0d\uff20]")


def write_csv(pack: Pack) -> dict[str, bytes]:
    """`csv/NAME.csv` for each table or family, in the order of the pack. Names are the tables' ids."""
    families: dict[str, list[Table]] = {}
    for table in pack.tables:
        if table.rows:
            families.setdefault(table.family or table.id, []).append(table)
    return {f"csv/{name}.csv": _file(tables) for name, tables in families.items()}


def as_text(value: str) -> str:
    """A cell's text such that a spreadsheet keeps it text."""
    value = clean(value)
    return f"'{value}" if _FORMULA.match(value) else value


def _file(tables: list[Table]) -> bytes:
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    first = tables[0]
    lead = [first.member_title or "Table"] if first.family else []
    writer.writerow([as_text(title) for title in (*lead, *map(_head, _plain(first)))])
    for table in tables:
        member = [table.member] if table.family else []
        for row in table.rows:
            if "head" not in row.marks:
                writer.writerow([as_text(text) for text in (*member, *(cell.text for cell in row.cells))])
    return b"\xef\xbb\xbf" + out.getvalue().encode("utf-8")


def _plain(table: Table) -> tuple[Column, ...]:
    """The columns of a family's first table; heads that name its own halves do not hold for the others."""
    if not table.family:
        return table.columns
    groups = list(dict.fromkeys(column.group for column in table.columns if column.group))
    if len(groups) < 2:
        return tuple(column._replace(group="") for column in table.columns)
    sides = {group: f"side {place}" for place, group in enumerate(groups, 1)}
    return tuple(column._replace(group=sides.get(column.group, "")) for column in table.columns)


def _head(column: Column) -> str:
    return f"{column.title}, {column.group}" if column.group else column.title
