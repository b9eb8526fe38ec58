"""Shapes of splices, grounds, arrows and loose ends."""

from __future__ import annotations

from collections.abc import Sequence

from compiler.model.items import Point
from compiler.model.variant import Variant
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
    Port,
    even,
    fitted,
    lines_ink,
    lines_size,
    pointer_of,
)
from renderers.sheets.ink import Shape, Words
from renderers.sheets.labels import SMALL, TEXT
from renderers.sheets.symbols import marks
from renderers.sheets.symbols.base import arrow_head
from renderers.sheets.units import Unit
from renderers.sheets.wire_label import APART, label_height, label_reach, label_room


def _sorted(links: Sequence[Link], context: Context) -> list[Link]:
    return sorted(links, key=lambda link: (context.wish.get(link.key, 0.0), link.key))


def splice(unit: Unit, ends: Ends, context: Context) -> Box:
    """A joint with one port a wire; its name and place to the right."""
    item = context.variant.splices[unit.item]
    box = Box(unit.key, unit.item, "splice")
    bottoms, tops = _sorted(ends.bottom, context), _sorted(ends.top, context)
    below: list[int] = []
    x = GRID
    for link in bottoms:
        below.append(x)
        x += label_room(link)
    reach = max(x, GRID)
    above = [GRID + 2 * GRID * i for i in range(len(tops))]
    if below and above and above[-1] < below[-1]:
        # Spread the upper ports towards the middle of the lower ones.
        shift = (below[-1] - above[-1]) // 2 // GRID * GRID
        above = [a + shift for a in above]
    y = 3.0
    every = above + below
    box.ports = [Port(k.key, TOP, a, y) for k, a in zip(tops, above, strict=True)]
    box.ports += [Port(k.key, BOTTOM, b, y) for k, b in zip(bottoms, below, strict=True)]
    box.marks.append(Mark(unit.item, tuple(marks.joint(min(every), y, max(every)))))
    more = [context.variant.place_of(item), *(["more wires on the other pages"] if unit.shared else [])]
    words = fitted(unit.item, item.title, more, 36)
    wide, high = lines_size(words)
    text_x = max([max(every) + 7.0, *(x + label_reach(k) + APART for k, x in zip(bottoms, below, strict=True))])
    text_x = max(text_x, reach if bottoms else 0)
    box.ink += lines_ink(words, text_x, 0)
    box.width = even(text_x + wide + 7)
    box.height = max(high + 2, y + label_height(bottoms))
    return box


def ground(unit: Unit, ends: Ends, context: Context) -> Box:
    """The ground mark under a bar, its name and place below."""
    item = context.variant.grounds[unit.item]
    box = Box(unit.key, unit.item, "ground")
    links = _sorted(ends.top, context)
    words = fitted(unit.item, item.title, [context.variant.place_of(item)], 40, context.pointer_of_item(unit.item))
    wide, high = lines_size(words)
    span = 2 * GRID * (len(links) - 1)
    box.width = even(max(wide + 8, span + 24))
    first = (box.width // 2 - span // 2) // GRID * GRID
    y = 4.0
    box.ports = [Port(k.key, TOP, first + 2 * GRID * i, y) for i, k in enumerate(links)]
    middle = first + span / 2
    ink: list[Shape] = []
    if span:
        ink += marks.terminal(first, y, first + span)
        ink.append(marks.lead(y + 1.9, 11, middle))
    else:
        ink += marks.terminal(middle, y)
        ink.append(marks.lead(y + 1.9, 11, middle))
    box.marks.append(Mark(unit.item, (*ink, *marks.ground(middle, 11))))
    box.ink += lines_ink(words, box.width / 2, 20, "middle")
    box.pointer = pointer_of(unit.item, words, box.width / 2, 20, "middle")
    box.height = 20 + high
    return box


def arrow(unit: Unit, ends: Ends, context: Context) -> Box:
    """An arrow that leaves the page: the sheet on which the wire is drawn, and where it ends there."""
    wire = unit.wire
    assert wire is not None
    upward = bool(ends.bottom)
    link = (ends.bottom or ends.top)[0]
    here = shown_point(ends)
    far = next((e for e in wire.ends if e.point != here), wire.b)
    page = context.page_of_wire(wire, here)
    target = target_words(context.variant, far.point)
    lines = [Line(f"sheet {page}" if page else "on no sheet", SMALL, True), Line(target)]
    wide, high = lines_size(lines)
    box = Box(unit.key, "", "arrow")
    right = label_room(link) if upward else 0
    box.width = even(max(wide + 7, GRID + right, 24))
    x = (
        box.width // 2 // GRID * GRID
        if not upward
        else max(GRID, min(box.width // 2, box.width - right)) // GRID * GRID
    )
    if upward:
        box.ink += lines_ink(lines, box.width / 2, 0, "middle")
        tip = high + 1.5
        box.marks.append(Mark("", (arrow_head((x, tip), (x, tip + 7), 7),)))
        box.ports = [Port(link.key, BOTTOM, x, tip + 7)]
        box.height = tip + 7 + label_height([link])
    else:
        box.marks.append(Mark("", (arrow_head((x, 7), (x, 0), 7),)))
        box.ports = [Port(link.key, TOP, x, 0)]
        box.ink += lines_ink(lines, box.width / 2, 8.5, "middle")
        box.height = 8.5 + high
    return box


def shown_point(ends: Ends) -> Point | None:
    """The point from which an arrow leads away; None if the sources do not give it."""
    link = (ends.bottom or ends.top)[0]
    return (link.upper.point or link.lower.point) if link.stub else None


def target_words(variant: Variant, point: Point | None) -> str:
    """The far end of a wire in words: terminal or cavity, and for the plug of a component the component before it."""
    if point is None:
        return "end not known"
    connector = variant.connectors.get(point.item)
    return f"{connector.device}  {point}" if connector is not None and connector.device else str(point)


def loose(unit: Unit, ends: Ends, context: Context) -> Box:
    """A wire end that the sources do not give."""
    box = Box(unit.key, "", "loose")
    face = BOTTOM if ends.bottom else TOP
    link = (ends.bottom or ends.top)[0]
    right = label_room(link) if face == BOTTOM else 12
    box.width = even(max(36, GRID + right))
    x = GRID if face == BOTTOM else box.width // 2 // GRID * GRID
    if face == BOTTOM:
        box.ink.append(Words(x, TEXT, "?", TEXT, True, "middle"))
        box.ports = [Port(link.key, face, x, TEXT + 3)]
        box.height = TEXT + 3 + label_height([link])
    else:
        box.ports = [Port(link.key, face, x, 0)]
        box.ink.append(Words(x, TEXT + 1, "?", TEXT, True, "middle"))
        box.height = TEXT + 3
    return box
