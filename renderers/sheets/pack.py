"""Drawings that hang together are laid out one by one and set on the page: in rows if they fit so, else each into the
first gap that holds it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence, Set
from itertools import pairwise
from typing import NamedTuple

from renderers.sheets.box import GRID
from renderers.sheets.layout import Layout, squeezed
from renderers.sheets.units import TOP, Scene
from renderers.sheets.wire_label import label_height, label_room

GAP = 16.0  # between rows, and between drawings in a row
ROUND = 2 * GRID  # about a drawing that stands in a gap

Places = Mapping[int, tuple[float, float]]


class Packed(NamedTuple):
    """Drawings on a page as one, and whether they had to be pressed together."""

    layout: Layout
    is_pressed: bool


def components(scene: Scene) -> list[Scene]:
    """The parts of a scene that no link joins, in the order of their first unit."""
    parent = {key: key for key in scene.units}

    def root(key: str) -> str:
        while parent[key] != key:
            parent[key] = parent[parent[key]]
            key = parent[key]
        return key

    for link in scene.links:
        a, b = root(link.upper.unit), root(link.lower.unit)
        if a != b:
            parent[b] = a
    groups: dict[str, Scene] = {}
    for key, unit in scene.units.items():
        groups.setdefault(root(key), Scene({}, [])).units[key] = unit
    for link in scene.links:
        groups[root(link.upper.unit)].links.append(link)
    return list(groups.values())


def packed(layouts: Sequence[Layout], wide: float, high: float, thorough: bool = False) -> Packed:
    """Layouts on a page of some size: pressed together no more than it takes, larger than the page if it must be.

    `thorough`: their wires are straightened once more.
    """
    if len(layouts) == 1:
        (only,) = layouts
        if only.width <= wide and only.height <= high and not thorough:
            return Packed(only, False)
        return Packed(squeezed(only, wide, high, thorough), True)
    if thorough:
        layouts = [squeezed(layout, layout.width, math.inf, thorough) for layout in layouts]
    plain = _joined(layouts, _rows(layouts, wide))
    if plain.width <= wide and plain.height <= high:
        return Packed(plain, False)
    # What is too wide or too high by itself fits in no gap.
    loose = [squeezed(layout, wide, high, thorough) for layout in layouts]
    if (places := _gaps(loose, wide, high)) is not None:
        return Packed(_joined(loose, places), True)
    tight = [squeezed(layout, wide, 0.0, thorough) for layout in layouts]
    return Packed(_joined(tight, _gaps(tight, wide, high) or _rows(tight, wide)), True)


def _rows(layouts: Sequence[Layout], wide: float) -> Places:
    """Places in rows no wider than `wide` where they can be; the tallest first."""
    order = sorted(range(len(layouts)), key=lambda i: (-layouts[i].height, i))
    rows: list[tuple[float, float, list[int]]] = []
    places: dict[int, tuple[float, float]] = {}
    y = 0.0
    for index in order:
        own = layouts[index]
        for number, (top, used, members) in enumerate(rows):
            if used + GAP + own.width <= wide:
                places[index] = (used + GAP, top)
                rows[number] = (top, used + GAP + own.width, [*members, index])
                break
        else:
            places[index] = (0.0, y)
            rows.append((y, own.width, [index]))
            y += own.height + GAP
    # A row is set in the middle of the widest.
    widest = max((used for _, used, _ in rows), default=0.0)
    for _, used, members in rows:
        for index in members:
            x, top = places[index]
            places[index] = ((x + (widest - used) / 2) // GRID * GRID, top)
    return places


def _gaps(layouts: Sequence[Layout], wide: float, high: float) -> Places | None:
    """Places on a page, each in the topmost gap that holds it; the largest first. None if one finds no gap.

    The page is a field of cells as one number, a bit a cell, row by row.
    """
    # Beyond its columns a row has as many again that stay empty: what reaches out at the side meets nothing.
    rows, columns = int(high // GRID), int(wide // GRID)
    field = _Field(2 * columns + 8)
    places: dict[int, tuple[float, float]] = {}
    for index in sorted(range(len(layouts)), key=lambda i: (-layouts[i].width * layouts[i].height, i)):
        own = layouts[index]
        down, across = rows - int(-(-own.height // GRID)), columns - int(-(-own.width // GRID))
        spot = field.first(_cells(own, ROUND), down, across)
        if spot is None:
            return None
        x, y = spot
        field.take(_cells(own, 0), x, y)
        places[index] = (float(x * GRID), float(y * GRID))
    return places


Cells = Set[tuple[int, int, int, int]]
"""Rectangles of cells: column and row of the first, columns and rows."""


class _Field:
    """Which cells of a page are taken, in rows of `stride` cells; with room for the air before what stands in a corner."""

    def __init__(self, stride: int) -> None:
        self.stride = stride
        self.start = ROUND // GRID * (stride + 1)
        self.taken = 0

    def take(self, cells: Cells, x: int, y: int) -> None:
        """Take the cells of a drawing at a spot."""
        for left, top, wide, high in cells:
            row = (1 << wide) - 1 << self.start + (top + y) * self.stride + left + x
            self.taken |= _repeated(row, high, -self.stride)

    def first(self, cells: Cells, down: int, across: int) -> tuple[int, int] | None:
        """The first spot at which no cell of a drawing is taken: the topmost, of these the leftmost, in every other
        column. None if there is none down to a row and across to a column."""
        if down < 0 or across < 0:
            return None
        # A spot is no good if a taken cell lies where a cell of the drawing would.
        bad = 0
        level: dict[int, int] = {}
        block: dict[tuple[int, int], int] = {}
        for left, top, wide, high in cells:
            if wide not in level:
                level[wide] = _repeated(self.taken, wide, 1)
            if (wide, high) not in block:
                block[wide, high] = _repeated(level[wide], high, self.stride)
            bad |= block[wide, high] >> self.start + top * self.stride + left
        row = sum(1 << x for x in range(0, across + 1, 2))
        good = _repeated(row, down + 1, -self.stride) & ~bad
        spot = (good & -good).bit_length() - 1
        return (spot % self.stride, spot // self.stride) if good else None


def _repeated(field: int, times: int, step: int) -> int:
    """A field laid over itself a number of times, each time moved back by so many cells more (ahead if negative)."""
    done = 1
    while done < times:
        more = min(done, times - done)
        field |= field >> more * step if step > 0 else field << -more * step
        done += more
    return field


def _cells(layout: Layout, about: int) -> Cells:
    """The cells that a drawing covers with some air about it. With air they begin before the drawing."""
    cells = set()
    for x0, y0, x1, y1 in _covers(layout):
        left, right = int((x0 - about) // GRID), int(-(-(x1 + about) // GRID))
        top, low = int((y0 - about) // GRID), int(-(-(y1 + about) // GRID))
        cells.add((left, top, right - left, low - top))
    return cells


def _covers(layout: Layout) -> Iterator[tuple[float, float, float, float]]:
    """The rectangles of a drawing's boxes, lines, and labels that hang on no box."""
    for key, box in layout.boxes.items():
        x, y = layout.at[key]
        yield x, y, x + box.width, y + box.height
    for line in layout.lines.values():
        for (x0, y0), (x1, y1) in pairwise(line):
            yield min(x0, x1) - 1.5, min(y0, y1) - 1.5, max(x0, x1) + 1.5, max(y0, y1) + 1.5
    for link in layout.scene.links:
        if link.upper.face == TOP:
            x, y = layout.labels[link.key]
            yield x, y, x + label_room(link), y + label_height([link])


def _joined(layouts: Sequence[Layout], places: Places) -> Layout:
    """Layouts in their places as one."""
    wide = max((places[i][0] + layout.width for i, layout in enumerate(layouts)), default=0.0)
    high = max((places[i][1] + layout.height for i, layout in enumerate(layouts)), default=0.0)
    done = Layout(Scene({}, []), {}, {}, {}, {}, wide, high, "\n".join(layout.dot for layout in layouts))
    for index, layout in enumerate(layouts):
        dx, dy = places[index]
        done.scene.units.update(layout.scene.units)
        done.scene.links.extend(layout.scene.links)
        done.boxes.update(layout.boxes)
        done.at.update({k: (x + dx, y + dy) for k, (x, y) in layout.at.items()})
        done.lines.update({k: tuple((x + dx, y + dy) for x, y in line) for k, line in layout.lines.items()})
        done.labels.update({k: (x + dx, y + dy) for k, (x, y) in layout.labels.items()})
    return done
