"""Heights on a page: boxes and tracks set below each other as close as they may be, rows kept straight where there is room.

Ranks and tracks say what lies above what. That order is kept only between things that share a column, so a tall box
holds up no more than what stands under it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from renderers.sheets.box import GRID

TRACK = 6.0  # between tracks
AIR = 4.0  # above the first and below the last track, and between boxes


class Item(NamedTuple):
    """A box, or a stretch of wire on a track (`high` is then negative). Items on one level never share a column, and no
    item lies below one of a later level."""

    left: float
    right: float
    high: float
    level: int

    @property
    def is_track(self) -> bool:
        """Whether it is a stretch of wire."""
        return self.high < 0


def stack(items: Sequence[Item], limit: float) -> tuple[list[float], float]:
    """Upper edge of each item, and the height of it all: no more than `limit`, or the least that can be.

    Boxes of one level lie at one height unless that would cost height beyond the limit.
    """
    order = sorted(range(len(items)), key=lambda i: items[i].level)
    above, below = _neighbours(items, order)
    first = [0.0] * len(items)
    for number in order:
        first[number] = max((first[n] + by for n, by in above[number]), default=_rim(items[number]))
    foot = [0.0] * len(items)
    for number in reversed(order):
        item = items[number]
        rest = max((foot[n] + by for n, by in below[number]), default=0.0)
        foot[number] = max(rest, AIR if item.is_track else item.high)
    limit = max([limit, *(a + b for a, b in zip(first, foot, strict=True))])
    y = [0.0] * len(items)
    start = 0
    while start < len(order):
        stop = start
        while stop < len(order) and items[order[stop]].level == items[order[start]].level:
            number = order[stop]
            y[number] = max((y[n] + by for n, by in above[number]), default=_rim(items[number]))
            stop += 1
        row = order[start:stop]
        common = max(y[number] for number in row)
        for number in row:
            if not items[number].is_track:
                y[number] = min(common, limit - foot[number])
        start = stop
    deepest = max((y[n] + (AIR if item.is_track else item.high) for n, item in enumerate(items)), default=0.0)
    return y, deepest


def _rim(item: Item) -> float:
    """Where an item lies that nothing lies above."""
    return AIR if item.is_track else 0.0


Neighbours = list[list[tuple[int, float]]]


def _neighbours(items: Sequence[Item], order: Sequence[int]) -> tuple[Neighbours, Neighbours]:
    """For each item those above and those below it that share a column, each with the least way between upper edges."""
    above: Neighbours = [[] for _ in items]
    below: Neighbours = [[] for _ in items]
    tracks: list[tuple[int, float, float]] = []
    boxes: list[tuple[int, float, float, float]] = []
    for lower in order:
        left, right, high, _ = items[lower]
        # A box has air at its right end, none at its left; tracks keep their distance from each other too.
        if high < 0:
            found = [(n, TRACK) for n, start, end in tracks if start < right + GRID and left < end + GRID]
            found += [(n, way) for n, start, end, way in boxes if start - GRID < right and left < end]
            tracks.append((lower, left, right))
        else:
            found = [(n, AIR) for n, start, end in tracks if left - GRID < end and start < right]
            found += [(n, way) for n, start, end, way in boxes if start < right and left < end]
            boxes.append((lower, left, right, high + AIR))
        above[lower] = found
        for upper, way in found:
            below[upper].append((lower, way))
    return above, below
