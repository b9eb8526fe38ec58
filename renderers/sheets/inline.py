"""The shape of an in-line connector: its cavities side by side, both halves told apart."""

from __future__ import annotations

from compiler.model.items import Point
from renderers.sheets.box import (
    BOTTOM,
    GRID,
    TOP,
    Box,
    Context,
    Ends,
    Mark,
    even,
    fitted,
    group_ports,
    group_room,
    in_order,
    lines_ink,
    lines_size,
    up,
)
from renderers.sheets.ink import Rect, Shape, Words, line
from renderers.sheets.labels import SMALL, TEXT, width
from renderers.sheets.symbols.marks import mated
from renderers.sheets.units import Unit
from renderers.sheets.wire_label import label_height

ROW = 10.5  # height of a cell
PARTING = 2.4  # between the halves of a connector
MATED = 8.0  # the same, where it holds a pin in its socket
APART = 8.0  # between the names of the halves and the words about the connector
LEAST = 40.0  # height that these words may take at any rate
HALVES = ("#FFFFFF", "#E4E8EC")


def inline(unit: Unit, ends: Ends, context: Context) -> Box:
    """An in-line connector: its cavities side by side, one row of cells a half."""
    connector = context.variant.connectors[unit.item]
    box = Box(unit.key, unit.item, "connector")
    halves = (unit.upper, 1 - unit.upper)
    parting = PARTING if connector.pins is None else MATED
    low = 2 * ROW + parting
    per_cell = []
    for cavity in unit.cells:
        tops = ends.at(TOP, unit.key, Point(unit.item, cavity, halves[0]))
        bottoms = ends.at(BOTTOM, unit.key, Point(unit.item, cavity, halves[1]))
        per_cell.append((tops, bottoms))
    x = start = up(width(unit.item, TEXT, True) + 3)
    for index in in_order(unit.cells, [[*t, *b] for t, b in per_cell], context):
        cavity = unit.cells[index]
        tops, bottoms = per_cell[index]
        name = width(cavity, SMALL) / 2 + 2
        axis = x + up(max(GRID, name))
        right = max(GRID, up(name), group_room(tops, TOP) - GRID if tops else 0)
        if bottoms:
            right = max(right, group_room(bottoms, BOTTOM) - GRID)
        box.ports += group_ports(tops, TOP, axis, 0.0)
        box.ports += group_ports(bottoms, BOTTOM, axis, low)
        wide = axis + right - x
        for row, half in enumerate(halves):
            top = row * (ROW + parting)
            ink: tuple[Shape, ...] = (
                Rect(x, top, wide, ROW, 0.8, HALVES[half]),
                Words(axis, top + ROW - 3, cavity, SMALL, False, "middle"),
            )
            box.marks.append(Mark(f"{unit.item}.{cavity}", ink, str(half)))
        if connector.pins is None:
            box.ink.append(line((axis, ROW), (axis, ROW + parting), width=1.6))
        else:
            box.ink += mated(axis, ROW, ROW + parting, pin_above=connector.pins == halves[0])
        x = axis + right
    beside = x + 4.0
    box.ink.append(Words(start - 2.5, ROW + parting / 2 + TEXT * 0.35, unit.item, TEXT, True, "end"))
    for row, half in enumerate(halves):
        text = connector.half_name(half)
        box.ink.append(Words(beside, row * (ROW + parting) + ROW - 3, text, SMALL))
    sides = max(width(connector.half_name(h), SMALL) for h in (0, 1))
    box.height = low + label_height(ends.bottom)
    end = beside + sides
    if not unit.brief:
        place = fitted("", connector.title, [context.variant.place_of(connector)], max(box.height, LEAST))
        end += APART
        box.ink += lines_ink(place, end, ROW - 3 - SMALL * 0.82)
        end += lines_size(place)[0]
        box.height = max(box.height, ROW - 3 - SMALL * 0.82 + lines_size(place)[1])
    box.width = even(end + 7)
    return box
