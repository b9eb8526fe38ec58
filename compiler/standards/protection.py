"""Protection policies: what current a wire carries, and the largest fuse or breaker that may protect it.

The published tables disagree because their bases differ, so a project declares which policy it goes by, and
every limit is to be quoted with ``Policy.basis``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any, NamedTuple

from compiler.standards import _data
from compiler.standards._curve import How, Points, current_at, never_falling
from compiler.standards.grades import Grade, as_grade
from compiler.standards.sizes import Size, read_size


class Limits(NamedTuple):
    """Limits in A for one size; ``how`` tells whether they stand in the table or were worked out from it."""

    capacity_a: float
    largest_fuse_a: float
    largest_breaker_a: float
    how: How


@dataclass(frozen=True, slots=True)
class Policy:
    """One declared way of protecting wires.

    Sizes outside the policy's table (another system, a size between rows) go by conductor area: between two
    rows along a straight line in log area and log current, below the first row at its current density,
    above the last row at its value. So no limit ever falls as the area grows. The largest fuse is a limit,
    not always a rating that is made.
    """

    name: str
    title: str
    source: str
    grade: Grade
    basis: str
    """What the limits hold for: quote it with every limit."""
    fuse_percent: float
    """Largest fuse as a share of the capacity, per cent."""
    rows: Points
    """Capacity in A by area in mm2; empty when ``ampere_per_mm2`` rules."""
    breaker_rows: Points = ()
    """Largest breaker in A by area in mm2, where the source tells breakers from fuses."""
    ampere_per_mm2: float | None = None

    def limits(self, size: Size) -> Limits:
        """All limits for a size."""
        capacity, how = self._capacity(size.area_mm2)
        fuse = capacity * self.fuse_percent / 100
        breaker = current_at(self.breaker_rows, size.area_mm2)[0] if self.breaker_rows else fuse
        return Limits(capacity, fuse, breaker, how)

    def capacity_a(self, size: Size) -> float:
        """Current in A that the wire carries continuously, on the policy's basis."""
        return self._capacity(size.area_mm2)[0]

    def largest_fuse_a(self, size: Size) -> float:
        """Largest fuse in A that may protect the wire alone."""
        return self.limits(size).largest_fuse_a

    def largest_breaker_a(self, size: Size) -> float:
        """Largest circuit breaker in A that may protect the wire alone."""
        return self.limits(size).largest_breaker_a

    def _capacity(self, area_mm2: float) -> tuple[float, How]:
        if self.ampere_per_mm2 is not None:
            return self.ampere_per_mm2 * area_mm2, "rule"
        return current_at(self.rows, area_mm2)


def policies() -> tuple[str, ...]:
    """Names of the policies."""
    return tuple(_policies())


def policy(name: str) -> Policy:
    """A policy by name. Raises KeyError with the known names."""
    if name not in _policies():
        raise KeyError(f"no protection policy {name!r}; there are {', '.join(policies())}")
    return _policies()[name]


@cache
def _policies() -> dict[str, Policy]:
    data = _data.load("protection")
    return {made.name: made for row in data["policy"] for made in _made(row, data["table"])}


def _made(row: dict[str, Any], tables: dict[str, Any]) -> Iterator[Policy]:
    """The policies of one entry: one for each of its columns."""
    common = (row["basis"], float(row["fuse_percent"]))
    if "ampere_per_mm2" in row:
        per_mm2 = float(row["ampere_per_mm2"])
        grade = as_grade(row["grade"])
        yield Policy(row["name"], row["title"], row["source"], grade, *common, (), (), per_mm2)
        return
    table = tables[row["table"]]
    source, grade = table["source"], as_grade(table["grade"])
    if "column" in row:
        breakers = _points(table, row["breaker_column"]) if "breaker_column" in row else ()
        rows = _points(table, row["column"])
        yield Policy(row["name"], row["title"], source, grade, *common, rows, breakers)
        return
    for column, words in row["columns"].items():
        title = row["title"].format(column=words)
        yield Policy(f"{row['name']}-{column}", title, source, grade, *common, _points(table, column))


def _points(table: dict[str, Any], column: str) -> Points:
    """One column against area, rows with a blank field left out."""
    place = 1 + table["columns"].index(column)
    return never_falling(
        [
            (read_size(row[0], table["system"]).area_mm2, float(row[place]))
            for row in table["rows"]
            if row[place] != "-"
        ]
    )
