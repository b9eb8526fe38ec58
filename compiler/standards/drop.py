"""Voltage-drop limits by class of circuit and system voltage."""

from __future__ import annotations

from functools import cache
from typing import Any, NamedTuple

from compiler.standards import _data
from compiler.standards.grades import Grade, as_grade


class DropLimit(NamedTuple):
    """The largest drop allowed, in V, over ``scope`` at full load."""

    name: str
    title: str
    scope: str
    volts: float
    source: str
    grade: Grade


def drop_classes() -> tuple[str, ...]:
    """Names of the circuit classes that have a limit."""
    return tuple(_classes())


def drop_limit(cls: str, system_volts: float) -> DropLimit | None:
    """The limit for a class (``headlamp``) at a supply in V; None when no limit is published for that supply.

    A supply of 9 to 18 V takes the 12 V value (14 V for aircraft), 18 to 36 V the 24 V (28 V) value. Raises
    KeyError with the known classes.
    """
    if cls not in _classes():
        raise KeyError(f"no voltage-drop class {cls!r}; there are {', '.join(drop_classes())}")
    row, default = _classes()[cls], _data.load("drop")["default"]
    volts = _volts(row, system_volts, row.get("systems", default["systems"]))
    if volts is None:
        return None
    source = row.get("source", default["source"])
    return DropLimit(cls, row["title"], row["scope"], volts, source, as_grade(row["grade"]))


def _volts(row: dict[str, Any], system_volts: float, systems: str) -> float | None:
    if "percent" in row:
        return float(row["percent"]) * system_volts / 100
    for nominal, (least, largest) in _data.load("drop")["systems"][systems].items():
        if least <= system_volts < largest and nominal in row["limits"]:
            return float(row["limits"][nominal])
    return None


@cache
def _classes() -> dict[str, dict[str, Any]]:
    return {row["name"]: row for row in _data.load("drop")["class"]}
