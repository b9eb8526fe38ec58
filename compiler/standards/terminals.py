"""Terminal designations: DIN 72552, and the relay numbers of ISO 7588."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from compiler.standards import _data
from compiler.standards.grades import Grade, as_grade


class Designation(NamedTuple):
    """What a designation means, and how far that reading can be trusted."""

    designation: str
    meaning: str
    grade: Grade


@cache
def din72552_table() -> Mapping[str, Designation]:
    """All designations of DIN 72552 by their text. Read only by agreement."""
    data = _data.load("terminals")["din72552"]
    rows = [Designation(name, meaning, as_grade(grade)) for grade in "ABC" for name, meaning in data[grade]]
    return {row.designation: row for row in sorted(rows, key=_order)}


def din72552(designation: str) -> str | None:
    """What a terminal of this designation is for, upper or lower case (``87A``); None if there is none."""
    found = din72552_table().get(designation) or _folded().get(designation.casefold())
    return found.meaning if found else None


def din72552_notes() -> tuple[str, ...]:
    """Where copies of the standard, or the standard and vehicle practice, disagree."""
    return tuple(_data.load("terminals")["din72552"]["notes"])


def iso7588_terminal(number: str) -> str | None:
    """The DIN terminal of a relay's ISO 7588 number (``3`` -> ``30``), from memory; None if there is none."""
    found = _data.load("terminals")["iso7588"]["numbers"].get(number)
    return None if found is None else str(found)


@cache
def _folded() -> dict[str, Designation]:
    return {name.casefold(): row for name, row in din72552_table().items()}


def _order(row: Designation) -> tuple[int, str]:
    """Numbers first, by value; letters after them."""
    digits = row.designation.rstrip("abcdefghiLR")
    return (int(digits), row.designation) if digits.isdigit() else (1000, row.designation)
