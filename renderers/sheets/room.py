"""Free room on a drawing: where something more can stand without touching what is there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from renderers.sheets.measure import Box

_CELL = 36.0


class Room:
    """The boxes that are taken, and the edges between which there is room."""

    def __init__(self, edges: Box, taken: Iterable[Box]) -> None:
        self.edges = edges
        self._cells: dict[tuple[int, int], list[Box]] = {}
        for box in taken:
            self.take(box)

    def take(self, box: Box) -> None:
        """Note a box as taken."""
        for cell in _cells(box):
            self._cells.setdefault(cell, []).append(box)

    def free(self, box: Box, by: float = 0.6) -> bool:
        """Whether a box lies within the edges and keeps a distance `by` from all that is taken."""
        edges = self.edges
        if box.x0 < edges.x0 or box.y0 < edges.y0 or box.x1 > edges.x1 or box.y1 > edges.y1:
            return False
        return self.blocker(box, by) is None

    def blocker(self, box: Box, by: float) -> Box | None:
        """One of the taken boxes that come nearer to a box than `by`, or None."""
        wide = Box(box.x0 - by, box.y0 - by, box.x1 + by, box.y1 + by)
        for cell in _cells(wide):
            for other in self._cells.get(cell, ()):
                if wide.overlaps(other, 0.0):
                    return other
        return None

    def corner(self, wide: float, high: float, by: float = 5.0) -> Box | None:
        """Where a box of a size can stand: the highest such place, and the rightmost of those; None if there is none."""
        edges, y = self.edges, self.edges.y0
        while y + high <= edges.y1:
            x = edges.x1 - wide
            while x >= edges.x0:
                box = Box(x, y, x + wide, y + high)
                other = self.blocker(box, by)
                if other is None:
                    return box
                x = min(x - 3.0, other.x0 - by - wide)
            y += 6.0
        return None


def _cells(box: Box) -> Iterator[tuple[int, int]]:
    for x in range(int(box.x0 // _CELL), int(box.x1 // _CELL) + 1):
        for y in range(int(box.y0 // _CELL), int(box.y1 // _CELL) + 1):
            yield x, y
