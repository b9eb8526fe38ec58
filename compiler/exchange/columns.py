"""Which column of a list is which, by headings in use (data/columns.toml)."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import NamedTuple

from compiler.exchange.problems import Remark, Sort, WireListError
from compiler.exchange.tables import Table, read_table

_DATA = Path(__file__).parent / "data" / "columns.toml"
_UNIT = re.compile(
    r"(?P<head>.*?)[\s_]*[\s_\[(/]\s*(?P<unit>mm2|mm²|mm\^2|qmm|sq ?mm|awg|sae|mm|cm|m|a|amps?)\s*[\])]?", re.IGNORECASE
)
_UNIT_ALONE = re.compile(r"(?P<unit>mm2|mm²|awg)", re.IGNORECASE)
_UNITS = {"mm²": "mm2", "mm^2": "mm2", "qmm": "mm2", "sqmm": "mm2", "sq mm": "mm2", "awg": "AWG", "sae": "SAE"}
_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue"})


class Column(NamedTuple):
    """A column: its place from 0, its heading as written, and the unit its heading gives (or empty)."""

    place: int
    heading: str
    unit: str


class Columns(NamedTuple):
    """The table, its columns by field, and remarks on what was not understood."""

    table: Table
    by_field: Mapping[str, Column]
    remarks: tuple[Remark, ...]


@cache
def words(section: str) -> Mapping[str, str]:
    """Every word of a section of the data file, folded -> the name it stands for."""
    with _DATA.open("rb") as file:
        data = tomllib.load(file)
    return {folded(word): name for name, listed in data[section].items() for word in listed}


@cache
def not_given_words() -> frozenset[str]:
    """Cells, in lower case, that say that nothing is said."""
    with _DATA.open("rb") as file:
        return frozenset(tomllib.load(file)["not_given"]["words"])


def folded(text: str) -> str:
    """A heading without case, marks and blanks, umlauts spelt out: `Leitungs-Länge` and `leitungslaenge` are one."""
    return "".join(c for c in text.casefold().translate(_UMLAUTS) if c.isalnum())


def field_of(heading: str, section: str) -> tuple[str, str]:
    """The field and unit of a heading; the field is empty for a heading that is not known."""
    known = words(section)
    field = known.get(folded(heading), "")
    if field:
        return field, ""
    alone = _UNIT_ALONE.fullmatch(heading.strip()) if section == "wires" else None
    if alone:
        return "size", _unit(alone["unit"])
    match = _UNIT.fullmatch(heading.strip())
    if match:
        return known.get(folded(match["head"]), ""), _unit(match["unit"])
    return "", ""


def _unit(text: str) -> str:
    folded_unit = text.casefold()
    return _UNITS.get(folded_unit, "A" if folded_unit.startswith("a") else folded_unit)


def read_columns(name: str, data: bytes, section: str, required: Iterable[str]) -> Columns:
    """A list with its columns found.

    section   `wires`, `items` or `fuses` of the data file

    Raises WireListError for data that is no table, and for a table without a required column.
    """
    table = read_table(name, data, lambda heading: bool(field_of(heading, section)[0]))
    by_field: dict[str, Column] = {}
    remarks = list(table.remarks)
    for index, heading in enumerate(table.headings):
        field, unit = field_of(heading, section)
        if field and field not in by_field:
            by_field[field] = Column(index, heading, unit)
        elif heading or any(row.cells[index] for row in table.rows):
            says = f"a second column for {_said(field)}" if field else "no known heading; this column was left out"
            remarks.append(Remark(Sort.NOT_USED, name, 0, heading, "", says))
    for field in required:
        if field not in by_field:
            there = ", ".join(heading for heading in table.headings if heading)
            raise WireListError(f"{name}: no column for {_said(field)}; the headings are: {there[:200]}")
    return Columns(table, by_field, tuple(remarks))


def _said(field: str) -> str:
    return field.replace("_", " ")
