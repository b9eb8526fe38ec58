"""Drawings that hang together are laid out one by one and set on the page: in rows if they fit so, else each into the
first gap that holds it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
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

    The page is a field of cells as one number, a bit a cell, column by column.
    """
    # Beyond its rows a column has as many again that stay empty: what is shifted out below meets nothing.
    rows, columns = int(high // GRID), int(wide // GRID)
    stride = 2 * rows + 8
    taken = 0
    places: dict[int, tuple[float, float]] = {}
    for index in sorted(range(len(layouts)), key=lambda i: (-layouts[i].width * layouts[i].height, i)):
        own = layouts[index]
        body, about = _cells(own, stride, 0), _cells(own, stride, ROUND)
        down, across = rows - int(-(-own.height // GRID)), columns - int(-(-own.width // GRID))
        field = taken << _shift(stride)
        spot = next((s for s in _spots(down, across, stride) if not about << s & field), None)
        if spot is None:
            return None
        taken |= body << spot
        places[index] = (float(spot // stride * GRID), float(spot % stride * GRID))
    return places


def _shift(stride: int) -> int:
    """Where cell (0, 0) lies in a field that has room for what lies before it."""
    return (ROUND // GRID) * (stride + 1)


def _spots(down: int, across: int, stride: int) -> Iterator[int]:
    return (x * stride + y for y in range(down + 1) for x in range(0, across + 1, 2))


def _cells(layout: Layout, stride: int, about: int) -> int:
    """The cells that a drawing covers with some air about it. With air the field begins before the drawing."""
    start = _shift(stride) if about else 0
    field = 0
    for x0, y0, x1, y1 in _covers(layout):
        left, right = int((x0 - about) // GRID), int(-(-(x1 + about) // GRID))
        top, low = int((y0 - about) // GRID), int(-(-(y1 + about) // GRID))
        bar = (1 << (low - top)) - 1
        for column in range(left, right):
            field |= bar << (start + column * stride + top)
    return field


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
