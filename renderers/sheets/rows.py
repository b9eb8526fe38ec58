"""Shapes of rows of like things: cavities of an in-line connector, fuses on a bus."""

from __future__ import annotations

from collections.abc import Sequence

from compiler.model.items import Device, Point
from renderers.sheets.box import (
    BOTTOM,
    GRID,
    TOP,
    Box,
    Context,
    Ends,
    Line,
    Link,
    Mark,
    even,
    group_ports,
    group_room,
    lines_ink,
    lines_size,
    name_lines,
    see,
    up,
    wished,
)
from renderers.sheets.ink import Rect, Shape, Words, line, moved
from renderers.sheets.labels import SMALL, TEXT, width, wrap
from renderers.sheets.symbols import Style, marks, symbol
from renderers.sheets.units import Unit
from renderers.sheets.wire_label import label_height

ROW = 10.5  # height of a cell
PARTING = 2.4  # between the halves of a connector
HALVES = ("#FFFFFF", "#E4E8EC")


def in_order(cells: Sequence[str], groups: Sequence[Sequence[Link]], context: Context) -> list[int]:
    """Indexes of cells from left to right: as the wires wish, else as they stand in the connector."""
    wishes = [wished(group, context.wish) for group in groups]
    if any(wish is None for wish in wishes):
        return list(range(len(cells)))
    return sorted(range(len(cells)), key=lambda i: (wishes[i] or 0.0, i))


def inline(unit: Unit, ends: Ends, context: Context) -> Box:
    """An in-line connector: its cavities side by side, one row of cells a half."""
    connector = context.variant.connectors[unit.item]
    box = Box(unit.key, unit.item, "connector")
    halves = (unit.upper, 1 - unit.upper)
    per_cell = []
    for cavity in unit.cells:
        tops = ends.at(TOP, unit.key, Point(unit.item, cavity, halves[0]))
        bottoms = ends.at(BOTTOM, unit.key, Point(unit.item, cavity, halves[1]))
        per_cell.append((tops, bottoms))
    y = 0.0
    x = start = up(width(unit.item, TEXT, True) + 3)
    for index in in_order(unit.cells, [[*t, *b] for t, b in per_cell], context):
        cavity = unit.cells[index]
        tops, bottoms = per_cell[index]
        name = width(cavity, SMALL) / 2 + 2
        axis = x + up(max(GRID, name))
        right = max(GRID, up(name), group_room(tops, TOP) - GRID if tops else 0)
        if bottoms:
            right = max(right, group_room(bottoms, BOTTOM) - GRID)
        box.ports += group_ports(tops, TOP, axis, y)
        box.ports += group_ports(bottoms, BOTTOM, axis, y + 2 * ROW + PARTING)
        wide = axis + right - x
        for row, half in enumerate(halves):
            top = y + row * (ROW + PARTING)
            ink: tuple[Shape, ...] = (
                Rect(x, top, wide, ROW, 0.8, HALVES[half]),
                Words(axis, top + ROW - 3, cavity, SMALL, False, "middle"),
            )
            box.marks.append(Mark(f"{unit.item}.{cavity}", ink))
        box.ink.append(line((axis, y + ROW), (axis, y + ROW + PARTING), width=1.6))
        x = axis + right
    beside = x + 4.0
    box.ink.append(Words(start - 2.5, ROW + PARTING / 2 + TEXT * 0.35, unit.item, TEXT, True, "end"))
    for row, half in enumerate(halves):
        text = connector.half_name(half)
        box.ink.append(Words(beside, y + row * (ROW + PARTING) + ROW - 3, text, SMALL))
    sides = max(width(connector.half_name(h), SMALL) for h in (0, 1))
    limit = max(64.0, sides)
    place = name_lines("", connector.title, [context.variant.place_of(connector)], limit)
    box.ink += lines_ink(place, beside, y + 2 * ROW + PARTING + 1)
    box.width = even(beside + max(lines_size(place)[0], sides) + 7)
    low = y + 2 * ROW + PARTING
    box.height = max(low + label_height(ends.bottom), low + lines_size(place)[1])
    return box


def fuse_words(device: Device) -> list[Line]:
    """Id, rating and type, slot, title of a fuse."""
    rating = device.ratings.get("current")
    facts = " ".join(t for t in (f"{rating:g} A" if rating else "", device.word("type")) if t)
    slot = f"slot {device.word('slot')}" if device.word("slot") else ""
    lines = [Line(device.id, SMALL, True)]
    lines += [Line(t) for t in (facts, slot) if t]
    return lines + [Line(t) for t in wrap(device.title, 48, SMALL, most=2)]


def bus(unit: Unit, ends: Ends, context: Context) -> Box:
    """A bus as a bar, with the fuses and breakers that sit on it below."""
    variant = context.variant
    item = variant.buses[unit.item]
    own = Point(unit.item, "", 0)
    box = Box(unit.key, unit.item, "bus")
    tops = sorted(ends.at(TOP, unit.key, own), key=lambda k: (context.wish.get(k.key, 0.0), k.key))
    direct = sorted(ends.at(BOTTOM, unit.key, own), key=lambda k: (context.wish.get(k.key, 0.0), k.key))
    block = variant.blocks.get(item.block)
    y = 2.0
    x = GRID * 2
    columns: list[tuple[list[Link], Device | None]] = [([link], None) for link in direct]
    for cell in unit.cells:
        found = variant.devices[cell]
        wired = [Point(cell, terminal, 0) for terminal in found.terminals]
        columns.append(([k for point in wired for k in ends.at(BOTTOM, unit.key, point)], found))
    order = in_order([str(i) for i in range(len(columns))], [c[0] for c in columns], context)
    axes: list[int] = []
    deep = y
    for index in order:
        links, device = columns[index]
        axes.append(x)
        if device is None:
            box.ports += group_ports(links, BOTTOM, x, y + 1.5)
            x += group_room(links, BOTTOM) + GRID
            continue
        glyph = symbol(device.parts[0], Style())
        words = fuse_words(device)
        aside = max(6.5, glyph.right + 2.5)
        wide, high = lines_size(words)
        box.ink += moved(glyph.ink, x, y + 4)
        box.ink.append(line((x, y + 1.5), (x, y + 4)))
        box.ink += lines_ink(words, x + aside, y + 5)
        low = y + 4 + max(glyph.height, high + 2) + 2
        deep = max(deep, low)
        x += max(up(aside + wide + 7), group_room(links, BOTTOM)) + 0
    right = x - GRID
    if any(columns[i][1] for i in order):
        for axis, index in zip(axes, order, strict=True):
            links, device = columns[index]
            if device is None:
                continue
            box.ink.append(line((axis, y + 28), (axis, deep)))
            mark = marks.terminal(
                axis, deep, axis + sum(group_room([k], BOTTOM) for k in links[:-1]) if links else None
            )
            box.marks.append(Mark(f"{device.id}.{device.parts[0].terminals[-1]}", tuple(mark)))
            box.ports += group_ports(links, BOTTOM, axis, deep)
    start = max(GRID, (axes[0] if axes else GRID))
    for index, link in enumerate(tops):
        box.ports += group_ports([link], TOP, start + 2 * GRID * index, y - 1.5)
    end = max([*(a for a in axes), start + 2 * GRID * max(0, len(tops) - 1)])
    bar = Rect(start - 5, y - 1.5, end - start + 10, 3, 0.4, "#111111")
    box.marks.append(Mark(unit.item, (bar,)))
    words = name_lines(unit.item, item.title, [], 70)
    if block is None or not unit.cells:
        words += [Line(block.id, SMALL, True)] if block else []
        words += [Line(t) for more in see(context.sheets_of_item(unit.item)) for t in wrap(more, 70, SMALL)]
    else:
        words += name_lines(
            block.id, block.title, [variant.place_of(block), *see(context.sheets_of_item(unit.item))], 70
        )
        outline = Rect(0, y, max(right, 2 * GRID), deep - y, 0.7, "none", "5 2.5", "#555555")
        if any(columns[i][1] for i in order):
            box.ink.insert(0, outline)
    wide, high = lines_size(words)
    beside = max(right, end + 6) + 4.0
    box.ink += lines_ink(words, beside, 0)
    box.width = even(beside + wide + 7)
    box.height = max(high, deep + (label_height(ends.bottom) or 4))
    return box
