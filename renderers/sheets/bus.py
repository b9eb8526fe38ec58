"""The shape of a bus: a bar, with the fuses and breakers that sit on it below, in the outline of their block, and other
components that hang on nothing else."""

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
    pointer_lines,
    pointer_of,
    up,
)
from renderers.sheets.device import device_box, protective_facts
from renderers.sheets.ink import Disc, Rect, line, moved
from renderers.sheets.labels import SMALL, wrap
from renderers.sheets.symbols import Style, marks, symbol
from renderers.sheets.units import Sort
from renderers.sheets.wire_label import APART, label_height, label_reach

BAR = 2.0  # middle of the bar
_LIMIT = 70.0  # width of the words beside it
_DROP = 8.0  # from the bar to what hangs on it


def bus(unit: Unit, ends: Ends, context: Context) -> Box:
    """A bus: wires that feed it end on the bar from above; below hang wires that come off it directly, then its fuses, then
    components on it."""
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
    cells = [variant.devices[cell] for cell in unit.cells]
    fuses = [device for device in cells if device.is_protective]
    wires = [
        _by_wish([k for t in fuse.terminals for k in ends.at(BOTTOM, unit.key, Point(fuse.id, t, 0))], context)
        for fuse in fuses
    ]
    order = in_order([fuse.id for fuse in fuses], wires, context)
    deep = max([BAR, *(_depth(fuse) for fuse in fuses)])
    for index in order:
        axes.append(x)
        x = _hang(box, fuses[index], wires[index], x, deep)
    outline = x - GRID - left
    low = deep
    for device in cells:
        if not device.is_protective:
            axis, x, depth = _hang_whole(box, device, context, x)
            axes.append(axis)
            low = max(low, depth)
    start = axes[0] if axes else 2 * GRID
    for index, link in enumerate(tops):
        box.ports += group_ports([link], TOP, start + 2 * GRID * index, BAR - 1.5)
    end = max([*axes, start + 2 * GRID * (len(tops) - 1)])
    box.marks.append(Mark(unit.item, (Rect(start - 5, BAR - 1.5, end - start + 10, 3, 0.4, "#111111"),)))
    right = float(end + 6)
    if axes:
        right = max(right, float(x - GRID))
    if fuses:
        outline = max(outline, end + 6 - left) if len(fuses) == len(cells) else outline
        box.ink.insert(0, Rect(left, BAR, outline, deep - BAR, 0.7, "none", "5 2.5", "#555555"))
    words = _words(variant.buses[unit.item], bool(fuses) and not unit.brief, context)
    wide, high = lines_size(words)
    beside = max([right + 4, *(p.x + label_reach(k) + APART for k in ends.bottom for p in box.ports if p.link == k.key)])
    box.ink += lines_ink(words, beside, 0)
    box.pointer = pointer_of(unit.item, words, beside, 0)
    box.width = even(beside + wide + 7)
    box.height = max(high, low, deep + (label_height(ends.bottom) or 4))
    return box


def _by_wish(links: Sequence[Link], context: Context) -> list[Link]:
    return sorted(links, key=lambda k: (context.wish.get(k.key, 0.0), k.key))


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


def _hang_whole(box: Box, device: Device, context: Context, x: int) -> tuple[int, int, float]:
    """Draw a component below the bar, joined to it by its first terminal; its axis, the next one's place and how far down
    it reaches are the answer."""
    # It has no wires, so it stands nowhere else.
    alone = context._replace(pointer_of_item=lambda _: "")
    own = device_box(Unit(box.key, Sort.DEVICE, device.id), Ends((), ()), alone)
    marks_of = {mark.point: mark.ink for mark in own.marks}
    end = next(shape for shape in marks_of[f"{device.id}.{device.terminals[0]}"] if isinstance(shape, Disc))
    left, top = x - GRID, BAR + 1.5 + _DROP - (end.y - end.r)
    box.ink += [line((left + end.x, BAR + 1.5), (left + end.x, top + end.y - end.r)), *moved(own.ink, left, top)]
    box.symbols += [s._replace(ink=tuple(moved(s.ink, left, top))) for s in own.symbols]
    box.marks += [m._replace(ink=tuple(moved(m.ink, left, top))) for m in own.marks]
    return int(left + end.x), left + own.width + GRID, top + own.height


def _words(item: Bus, whole: bool, context: Context) -> list[Line]:
    """Id and title of the bus; of its block too, in full where fuses are shown."""
    variant = context.variant
    lines = name_lines(item.id, item.title, [], _LIMIT)
    block = variant.blocks.get(item.block)
    if block is not None and whole:
        lines += name_lines(block.id, block.title, [variant.place_of(block)], _LIMIT)
    elif block is not None:
        lines.append(Line(block.id, SMALL, True))
    return lines + pointer_lines(context.pointer_of_item(item.id), _LIMIT)
