"""A sheet in a state: what is live is drawn strong, what is dead faint, contacts stand as they do then, and what a meter
reads is printed at the test points. Geometry and words of the sheet itself stay as they are.

    figures = draw_sheets(variant)
    reading = read_state(settle(network, state_of_facts(network, scenario.set)), scenario.title)
    figure = lit_sheet(figures["38"], reading)

Nothing is told by colour alone: a live wire is wider, one that carries current at ground has ticks along it, a dead one is a
pale line, and what works is named in words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from renderers.sheets.figure import SheetFigure
from renderers.sheets.flags import HIGH, METER, Flags
from renderers.sheets.frame import BLOCK, EDGE, frame_ink
from renderers.sheets.ink import INK, Rect, Shape, Words, line, moved, path, svg
from renderers.sheets.labels import LEADING, SMALL, TEXT, width, wrap
from renderers.sheets.measure import Box, outline, read_svg
from renderers.sheets.reading import Life, StateReading
from renderers.sheets.room import Room
from renderers.sheets.symbols.marks import PAPER

_SVG = "http://www.w3.org/2000/svg"
STRONG = 4.4  # width of a live wire's outline
TICKS = "1 6"  # dashes as wide as that, along a wire that carries current at ground
FAINT = "#B4BAC0"  # outline of a dead wire
PALE = 0.78  # how much white is mixed into a dead wire's colours
GLOW = "#FFE08A"  # fills the symbol of what works
_AT_WORK = 1.5  # width of its lines
_CROSS = 4.0  # half the size of the cross over a fuse that opened
_SAMPLE = "#66717D"  # base colour of the wires in the key
_KEY_WIDTHS = (166.0, 132.0, 104.0)  # of the words in the key, as they are tried

ElementTree.register_namespace("", _SVG)  # SVG elements are written without a prefix


def lit_sheet(figure: SheetFigure, reading: StateReading) -> SheetFigure:
    """The sheet in a state, with the same geometry. What finds no room beside its test point stands in the key."""
    root = ElementTree.fromstring(figure.svg)  # noqa: S314 - our own output, no entities
    view = [float(n) for n in root.get("viewBox", "0 0 1 1").split()]
    drawing = read_svg(figure.svg)
    room = Room(Box(EDGE + 2, EDGE + 2, view[2] - EDGE - 2, view[3] - EDGE - BLOCK - 2), drawing.covers())
    for group in root.iter(f"{{{_SVG}}}g"):
        name = group.get("class", "")
        if name == "wire":
            _draw_wire(group, reading.wires.get(group.get("data-wire", ""), Life.DEAD))
        elif name == "symbol":
            _draw_symbol(group, reading)
    titles = figure.titles._replace(state=reading.title, settings=reading.settings or "all at rest")
    _set_frame(root, frame_ink(view[2], view[3], titles))
    flags = Flags(root, drawing.wires, reading, room)
    key = _key(reading, flags.left_over, room)
    root.append(_group("reading", [*flags.ink, *key]))
    text = ElementTree.tostring(root, encoding="unicode") + "\n"
    words = f"in the state {reading.title} ({titles.settings})"
    if not key and flags.left_over:
        words += f"; not on the drawing for want of room: {', '.join(flags.left_over)}"
    return replace(
        figure, svg=text, title=f"{figure.title}: {reading.title}", alt=f"{figure.alt}; {words}", titles=titles
    )


# -- what is there already -------------------------------------------------------------------------------------------
def _draw_wire(group: Element, life: Life) -> None:
    lines = list(group)
    if life is Life.DEAD:
        for one in lines:
            one.set("stroke", FAINT if one is lines[0] else _pale(one.get("stroke", INK)))
    else:
        # A wider line under the wire: the outline itself stays, for it is what the wire's place is read from.
        halo = Element(f"{{{_SVG}}}path", {"d": lines[0].get("d", ""), "stroke": INK, "stroke-width": f"{STRONG:g}"})
        if life is Life.RETURN:
            halo.set("stroke-dasharray", TICKS)
        group.insert(0, halo)
    group.set("data-life", life.value)


def _pale(colour: str) -> str:
    """A colour mixed with white."""
    parts = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return "#" + "".join(f"{round(255 * PALE + part * (1 - PALE)):02X}" for part in parts)


def _draw_symbol(group: Element, reading: StateReading) -> None:
    parts = group.get("data-part", "").split()
    drawn = group.get("data-drawn")
    if drawn and (parts[0] in reading.closed) != (drawn == "closed"):
        for blade in group.iter(f"{{{_SVG}}}path"):
            if other := blade.get("data-other"):
                blade.set("data-other", blade.get("d", ""))
                blade.set("d", other)
        group.set("data-drawn", "open" if drawn == "closed" else "closed")
    if any(part in reading.parts for part in parts):
        _emphasise(group, reading.filaments.get(parts[0]))
    if reading.blown.intersection(parts) and (box := outline(group)):
        x, y = (box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2
        for slant in (-1, 1):
            ends = (x - _CROSS, y - slant * _CROSS), (x + _CROSS, y + slant * _CROSS)
            group.append(Element(f"{{{_SVG}}}path", {"d": path(ends), "stroke-width": "1.8"}))


def _emphasise(group: Element, filaments: tuple[bool, ...] | None) -> None:
    """Draw the symbol of what works strong; of several filaments, each a circle, only those that are lit."""
    circles = group.findall(f"{{{_SVG}}}circle")
    if filaments and len(filaments) == len(circles):
        shining = [circle for circle, lit in zip(circles, filaments, strict=True) if lit]
    else:
        group.set("stroke-width", f"{_AT_WORK:g}")
        outlines = [r for r in group.findall(f"{{{_SVG}}}rect") if not r.get("stroke-dasharray")]
        shining = [*circles, *outlines, *(p for p in group.findall(f"{{{_SVG}}}path") if p.get("fill") == PAPER)]
    for shape in shining:
        if shape.get("fill", PAPER) == PAPER:
            shape.set("fill", GLOW)
            shape.set("stroke-width", f"{_AT_WORK:g}")


def _set_frame(root: Element, ink: list[Shape]) -> None:
    for index, group in enumerate(root):
        if group.get("class") == "frame":
            root[index] = _group("frame", ink)


def _group(name: str, ink: list[Shape]) -> Element:
    lines = "".join(svg(s) for s in ink if not isinstance(s, Words))
    words = "".join(svg(s) for s in ink if isinstance(s, Words))
    text = f'<g xmlns="{_SVG}" class="{name}" stroke="{INK}">{lines}<g fill="{INK}" stroke="none">{words}</g></g>'
    return ElementTree.fromstring(text)  # noqa: S314 - our own shapes


# -- the key -----------------------------------------------------------------------------------------------------------
def _key(reading: StateReading, left_over: Sequence[str], room: Room) -> list[Shape]:
    """A box that names the state and explains the lines, where there is room for it; the title block names it anyhow."""
    for limit in _KEY_WIDTHS:
        ink, wide, high = _key_ink(reading, left_over, limit)
        if box := room.corner(wide, high):
            return [Rect(box.x0, box.y0, wide, high, 0.8, PAPER), *moved(ink, box.x0, box.y0)]
    return []


def _key_ink(reading: StateReading, left_over: Sequence[str], limit: float) -> tuple[list[Shape], float, float]:
    ink: list[Shape] = []
    y = 4.0
    blocks = (
        (f"State: {reading.title}", TEXT, True),
        (reading.settings or "all at rest", SMALL, False),
        *((note, SMALL, True) for note in reading.notes),
    )
    for text, size, bold in blocks:
        for words in wrap(text, limit, size, bold):
            y += size * LEADING
            ink.append(Words(5, y, words, size, bold))
    for life, words in _LINES:
        y += 10
        ink += [*_sample(life, y - 2.4), Words(29, y, words, SMALL)]
    ink += [Rect(5, y + 4, 19, HIGH, 0.6, PAPER, "", METER), Words(7, y + 10.6, "12 V", SMALL, True, colour=METER)]
    y += 10.6
    ink.append(Words(29, y, "against ground, at a test point", SMALL))
    if left_over:
        y += 3
        for words in _filled(left_over, limit):
            y += SMALL * LEADING
            ink.append(Words(5, y, words, SMALL, colour=METER))
    wide = max(s.x + width(s.text, s.size, s.bold) for s in ink if isinstance(s, Words)) + 5
    return ink, wide, y + 5


def _filled(entries: Sequence[str], limit: float) -> list[str]:
    """Entries in lines; one is broken only if it is wider than a line."""
    lines: list[str] = []
    for entry in entries:
        longer = f"{lines[-1]}; {entry}" if lines else entry
        if lines and width(longer, SMALL) <= limit:
            lines[-1] = longer
        else:
            lines += wrap(entry, limit, SMALL)
    return lines


_LINES = (
    (Life.LIVE, "has voltage"),
    (Life.RETURN, "carries current, at ground"),
    (Life.DEAD, "neither"),
)


def _sample(life: Life, y: float) -> list[Shape]:
    ends = ((5.0, y), (24.0, y))
    match life:
        case Life.LIVE:
            return [line(*ends, width=STRONG), line(*ends, width=2)._replace(colour=_SAMPLE)]
        case Life.RETURN:
            ticks = line(*ends, width=STRONG, dash=TICKS)
            return [ticks, line(*ends, width=2.9), line(*ends, width=2)._replace(colour=_SAMPLE)]
        case Life.DEAD:
            return [line(*ends, width=2.9)._replace(colour=FAINT), line(*ends, width=2)._replace(colour=_pale(_SAMPLE))]
