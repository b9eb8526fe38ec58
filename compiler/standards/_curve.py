"""Reading a table of values against conductor area between, below and above its rows."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from typing import Literal, TypeAlias

Points: TypeAlias = tuple[tuple[float, float], ...]
"""Pairs (area in mm2, value), both above 0, by rising area."""

How = Literal["table", "interpolated", "below the table", "above the table", "rule"]


def current_at(points: Points, area_mm2: float) -> tuple[float, How]:
    """Current in A for an area, and how it was found. Never falls as the area grows, if the rows do not.

    A row of the table gives its own value. Between two rows: a straight line in log area and log current.
    Below the first row: its current density is kept, which errs on the safe side because thin wires carry
    more for each mm2. Above the last row: its value is kept.
    """
    position = bisect_left(points, (area_mm2, -math.inf))
    if position < len(points) and points[position][0] == area_mm2:
        return points[position][1], "table"
    if position == 0:
        area, current = points[0]
        return current * area_mm2 / area, "below the table"
    if position == len(points):
        return points[-1][1], "above the table"
    (area_0, current_0), (area_1, current_1) = points[position - 1], points[position]
    share = math.log(area_mm2 / area_0) / math.log(area_1 / area_0)
    value: float = current_0 * (current_1 / current_0) ** share
    return min(max(value, current_0), current_1), "interpolated"


def resistivity_at(points: Points, area_mm2: float) -> float:
    """Resistivity (resistance x area) for an area, from rows of (area, resistance).

    Between two rows it moves evenly with the logarithm of the area; outside the rows that of the nearest
    row is kept.
    """
    position = bisect_left(points, (area_mm2, -math.inf))
    if position == 0:
        return points[0][0] * points[0][1]
    if position == len(points):
        return points[-1][0] * points[-1][1]
    (area_0, r_0), (area_1, r_1) = points[position - 1], points[position]
    share = math.log(area_mm2 / area_0) / math.log(area_1 / area_0)
    return area_0 * r_0 + share * (area_1 * r_1 - area_0 * r_0)


def never_falling(points: Sequence[tuple[float, float]]) -> Points:
    """The rows sorted by area, each value lowered to the least value of any thicker row.

    A published step that falls with area would let a thinner wire carry more than a thicker one.
    """
    held: list[tuple[float, float]] = []
    least = math.inf
    for area, value in sorted(points, reverse=True):
        least = min(least, value)
        held.append((area, least))
    return tuple(reversed(held))
