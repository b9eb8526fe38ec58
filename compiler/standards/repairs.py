"""How wires, joints and terminals are repaired: rules with their sources."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from compiler.standards import _data
from compiler.standards.grades import Grade, as_grade


class RepairNote(NamedTuple):
    """One rule: what it is about, what to do, where it is from and how far that can be trusted."""

    about: str
    text: str
    source: str
    grade: Grade


@cache
def repair_notes() -> tuple[RepairNote, ...]:
    """The rules, in the order of work."""
    notes = _data.load("repairs")["note"]
    return tuple(RepairNote(n["about"], n["text"], n["source"], as_grade(n["grade"])) for n in notes)
