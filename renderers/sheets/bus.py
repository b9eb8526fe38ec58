"""The shape of a bus: a bar, with the fuses and breakers that sit on it below, in the outline of their block."""

from __future__ import annotations

from collections.abc import Sequence

from compiler.model.items import Bus, Device, Point
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
    Symbol,
    Unit,
    even,
    group_ports,
    group_room,
    in_order,
    lines_ink,
    lines_size,
    name_lines,
    see,
    up,
)
from renderers.sheets.ink import Rect, line, moved
from renderers.sheets.labels import SMALL, wrap
from renderers.sheets.symbols import Style, marks, symbol
from renderers.sheets.wire_label import label_height

BAR = 2.0  # middle of the bar
_LIMIT = 70.0  # width of the words beside it


def bus(unit: Unit, ends: Ends, context: Context) -> Box:
    """A bus: wires that feed it end on the bar from above; below hang wires that come off it directly, then its fuses."""
    variant = context.variant
    own = Point(unit.item, "", 0)
    box = Box(unit.key, unit.item, "bus")
    tops = _by_wish(ends.at(TOP, unit.key, own), context)
    x = 2 * GRID
    axes = []
    for link in _by_wish(ends.at(BOTTOM, unit.key, own), context):
        axes.append(x)
        box.ports += group_ports([link], BOTTOM, x, BAR + 1.5)
        x += group_room([link], BOTTOM) + GRID
    left = x - 2 * GRID
    fuses = [variant.devices[cell] for cell in unit.cells]
    wires = [
        _by_wish([k for t in fuse.terminals for k in ends.at(BOTTOM, unit.key, Point(fuse.id, t, 0))], context)
        for fuse in fuses
    ]
    order = in_order(unit.cells, wires, context)
    deep = max([BAR, *(_depth(fuse) for fuse in fuses)])
    for index in order:
        axes.append(x)
        x = _hang(box, fuses[index], wires[index], x, deep)
    start = axes[0] if axes else 2 * GRID
    for index, link in enumerate(tops):
        box.ports += group_ports([link], TOP, start + 2 * GRID * index, BAR - 1.5)
    end = max([*axes, start + 2 * GRID * (len(tops) - 1)])
    box.marks.append(Mark(unit.item, (Rect(start - 5, BAR - 1.5, end - start + 10, 3, 0.4, "#111111"),)))
    right = float(end + 6)
    if fuses:
        right = max(right, float(x - GRID))
        box.ink.insert(0, Rect(left, BAR, right - left, deep - BAR, 0.7, "none", "5 2.5", "#555555"))
    elif axes:
        right = max(right, float(x - GRID))
    words = _words(variant.buses[unit.item], bool(fuses) and not unit.brief, context)
    wide, high = lines_size(words)
    box.ink += lines_ink(words, right + 4, 0)
    box.width = even(right + 4 + wide + 7)
    box.height = max(high, deep + (label_height(ends.bottom) or 4))
    return box


def _by_wish(links: Sequence[Link], context: Context) -> list[Link]:
    return sorted(links, key=lambda k: (context.wish.get(k.key, 0.0), k.key))


def protective_facts(device: Device) -> str:
    """What a fuse, breaker or link is: rating and type, or size; empty for other devices and where nothing is given."""
    if not device.is_protective:
        return ""
    rating = device.ratings.get("current")
    return " ".join(t for t in (f"{rating:g} A" if rating else "", device.word("type"), str(device.size or "")) if t)


def fuse_words(device: Device) -> list[Line]:
    """Id, rating and type, slot, title of a fuse."""
    facts = protective_facts(device)
    slot = f"slot {device.word('slot')}" if device.word("slot") else ""
    lines = [Line(device.id, SMALL, True)]
    lines += [Line(t) for t in (facts, slot) if t]
    return lines + [Line(t) for t in wrap(device.title, 48, SMALL, most=2)]


def _depth(device: Device) -> float:
    """Where the terminal below a fuse lies."""
    glyph = symbol(device.parts[0], Style())
    return BAR + 4 + max(glyph.height, lines_size(fuse_words(device))[1] + 2) + 2


def _hang(box: Box, device: Device, links: Sequence[Link], x: int, deep: float) -> int:
    """Draw a fuse at `x` down to its terminal at `deep`; the next one's place is the answer."""
    glyph = symbol(device.parts[0], Style())
    words = fuse_words(device)
    aside = max(6.5, glyph.right + 2.5)
    box.ink += [line((x, BAR + 1.5), (x, BAR + 4)), line((x, BAR + 4 + glyph.height), (x, deep))]
    box.symbols.append(Symbol(device.id, (0,), tuple(moved(glyph.ink, x, BAR + 4))))
    box.ink += lines_ink(words, x + aside, BAR + 5)
    ports = group_ports(links, BOTTOM, x, deep)
    mark = marks.terminal(x, deep, float(ports[-1].x) if ports else None)
    box.marks.append(Mark(f"{device.id}.{device.parts[0].terminals[-1]}", tuple(mark)))
    box.ports += ports
    return x + max(up(aside + lines_size(words)[0] + 7), group_room(links, BOTTOM))


def _words(item: Bus, whole: bool, context: Context) -> list[Line]:
    """Id and title of the bus; of its block too, in full where fuses are shown."""
    variant = context.variant
    lines = name_lines(item.id, item.title, [], _LIMIT)
    block = variant.blocks.get(item.block)
    sheets = see(context.sheets_of_item(item.id))
    if block is not None and whole:
        return lines + name_lines(block.id, block.title, [variant.place_of(block), *sheets], _LIMIT)
    if block is not None:
        lines.append(Line(block.id, SMALL, True))
    return lines + [Line(t) for more in sheets for t in wrap(more, _LIMIT, SMALL)]
