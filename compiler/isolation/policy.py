"""What isolation weighs and counts with: declared values, and what a project sets instead."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from compiler.assembly.names import nearest
from compiler.network.network import CannotSolve

_DATA = Path(__file__).parent / "data" / "isolation.toml"

WEIGHTS = "fault-weights"
LIMITS = "fault-limits"


class IsolationError(CannotSolve):
    """What was asked of isolation cannot be done; the message is one line for a person."""


@dataclass(frozen=True, slots=True)
class Rules:
    """Declared values by table and name, the project's in place of ours where it gives any."""

    values: Mapping[tuple[str, str], float]

    def __call__(self, table: str, name: str) -> float:
        return self.values[table, name]


@cache
def _tables() -> dict[str, dict[str, dict[str, Any]]]:
    import tomllib

    with _DATA.open("rb") as file:
        return tomllib.load(file)


def rules_of(policy: Mapping[str, object]) -> Rules:
    """The rules under a project's policies: `fault-weights` (kind of fault -> weight) and `fault-limits`.

    Raises ValueError, its text beginning with `policy`, for a name that is not known or a value that is no number.
    """
    values = {(table, name): float(row["value"]) for table, rows in _tables().items() for name, row in rows.items()}
    for setting, table in ((WEIGHTS, "weight"), (LIMITS, "limits")):
        given = policy.get(setting, {})
        if not isinstance(given, Mapping):
            raise ValueError(f"policy {setting}: a table of names and numbers is wanted")
        for name, value in given.items():
            if (table, name) not in values:
                near = nearest(name, _tables()[table])
                raise ValueError(f"policy {setting}: there is no {name}" + (f"; did you mean {near}?" if near else ""))
            if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < float("inf"):
                raise ValueError(f"policy {setting}: {name} is {value!r}, which is no number from 0 up")
            values[table, name] = float(value)
    return Rules(values)
