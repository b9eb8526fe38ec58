"""The pack's tables as CSV files, for spreadsheets: one file a table, one for a family of tables.

UTF-8 with a byte order mark (spreadsheets take UTF-8 for something else without it), comma, CRLF (RFC 4180). A cell
that a spreadsheet would take for a formula gets an apostrophe in front, which keeps it text.
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
    sides = len(_groups(tables[0])) if tables[0].family else 0
    sides = sides if sides > 1 else 0
    lead = [tables[0].member_title or "Table", *(f"Side {n}" for n in range(1, sides + 1))] if tables[0].family else []
    writer.writerow([as_text(title) for title in (*lead, *map(_head, _columns(tables[0], sides)))])
    for table in tables:
        # What heads a half differs from table to table: in a file for all of them it is a fact of the row.
        member = [table.member, *_groups(table)[:sides]] if table.family else []
        for row in table.rows:
            if "head" not in row.marks:
                writer.writerow([as_text(text) for text in (*member, *(cell.text for cell in row.cells))])
    return b"\xef\xbb\xbf" + out.getvalue().encode("utf-8")


def _groups(table: Table) -> list[str]:
    return list(dict.fromkeys(column.group for column in table.columns if column.group))


def _columns(table: Table, sides: int) -> tuple[Column, ...]:
    """The columns with the groups of a family's first table turned into numbered sides."""
    if not table.family:
        return table.columns
    names = {group: f"side {place}" if sides else "" for place, group in enumerate(_groups(table), 1)}
    return tuple(column._replace(group=names.get(column.group, "")) for column in table.columns)


def _head(column: Column) -> str:
    return f"{column.title}, {column.group}" if column.group else column.title
