"""What stands in a cell: nothing, a number with or without unit, a colour."""

from __future__ import annotations

import re
from collections.abc import Iterable

from compiler.exchange.columns import not_given_words
from compiler.standards.colours import ColourError, ColourTable, read_colour
from compiler.standards.sizes import read_size

_NUMBER = r"[+-]?[\d.,'\u00a0\u202f ]*\d"
_WITH_UNIT = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<unit>mm2|mm²|mm\^2|qmm|mm|cm|m|awg|sae)?\.?", re.IGNORECASE)
_GAUGE = re.compile(r"(?:(?P<before>awg|sae)\s*)?(?P<number>\d/0|0{1,4}|\d{1,2})\s*(?P<after>awg|sae)?", re.IGNORECASE)
_UNITS = {"mm²": "mm2", "mm^2": "mm2", "qmm": "mm2", "awg": "AWG", "sae": "SAE"}
_PLAIN = re.compile(r"\d+(?:\.\d+)?")
_LENGTHS = ("mm", "cm", "m")
_DIGITS = 15


def given(cell: str) -> bool:
    """Whether a cell says anything: not empty, not `NULL`, not `-` and the like."""
    return cell.strip().removeprefix("/").casefold() not in not_given_words()


def decimal_comma(cells: Iterable[str]) -> bool:
    """Whether numbers are written with a decimal comma, by the first cell that leaves no doubt."""
    for cell in cells:
        text = cell.strip()
        if "," in text and "." in text:
            return text.rindex(",") > text.rindex(".")
        if re.search(r"\d,(?:\d{1,2}|\d{4,})(?!\d)", text) or re.fullmatch(r"0,\d+\D*", text):
            return True
        if re.search(r"\d\.(?:\d{1,2}|\d{4,})(?!\d)", text) or re.fullmatch(r"0\.\d+\D*", text):
            return False
    return False


def number(text: str, comma: bool) -> str | None:
    """A number as this language writes it (`2.5`), digits as given; None for text that is none, or below zero."""
    plain = re.sub(r"[\s'\u00a0\u202f]", "", text).removeprefix("+")
    groups, point = (".", ",") if comma else (",", ".")
    whole, mark, rest = plain.partition(point)
    if groups in whole and not re.fullmatch(rf"\d{{1,3}}(?:\{groups}\d{{3}})+", whole):
        return None
    plain = whole.replace(groups, "") + ("." + rest if mark else "")
    if plain.startswith("."):
        plain = "0" + plain
    if not _PLAIN.fullmatch(plain) or sum(c.isdigit() for c in plain) > _DIGITS:
        return None
    return plain if plain.isascii() else None


def length(cell: str, unit: str, comma: bool) -> str | None:
    """A length as the language writes it (`730.38 mm`). `unit` is what the heading says; a cell's own counts more.

    None for a cell that cannot be read, for a length of 0, or when nothing says the unit.
    """
    match = _WITH_UNIT.fullmatch(cell.strip())
    if match is None:
        return None
    unit = (match["unit"] or unit).lower()
    value = number(match["number"], comma)
    return f"{value} {unit}" if value is not None and float(value) > 0 and unit in _LENGTHS else None


def size(cell: str, unit: str, comma: bool) -> str | None:
    """A conductor size as the language writes it (`2.5 mm2`, `14 AWG`). `unit` as for `length`.

    None for a cell that cannot be read, when nothing says the system, or for a size that the system does not have.
    """
    text = cell.strip()
    gauge = _GAUGE.fullmatch(text)
    if gauge and (gauge["before"] or gauge["after"] or unit in ("AWG", "SAE")):
        system = (gauge["before"] or gauge["after"] or unit).upper()
        return _known(gauge["number"], system)
    match = _WITH_UNIT.fullmatch(text)
    if match is None:
        return None
    own = (match["unit"] or "").lower()
    system = _UNITS.get(own, own) or unit
    value = number(match["number"], comma)
    return _known(value, system) if value is not None and system == "mm2" else None


def _known(value: str, system: str) -> str | None:
    try:
        found = read_size(value, system)
    except ValueError:
        return None
    return f"{value if system == 'mm2' else found.name} {system}"


def colour(base: str, tracer: str, table: ColourTable) -> str | None:
    """A wire colour's code in a table, from a cell (`sw/gn`, `sw-gn`, `SW GN`) and perhaps one for the tracer.

    A part that says that nothing is said is left out. None when nothing is left. Raises ColourError for a colour that
    the table does not have.
    """
    parts = [part for part in re.split(r"[/\\\-_;,|\s]+", base.strip()) if given(part)]
    parts += [part for part in re.split(r"[/\\\-_;,|\s]+", tracer.strip()) if given(part)]
    if not parts:
        return None
    return read_colour("/".join(parts), table).code


__all__ = ["ColourError", "colour", "decimal_comma", "given", "length", "number", "size"]
