"""The shape of a unit: a box with ports on its upper and lower face, and the ink inside and beside it."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from compiler.model.items import Point, Wire
from compiler.model.variant import Variant
from renderers.sheets.ink import Shape, Words
from renderers.sheets.labels import LEADING, SMALL, TEXT, longest, width, wrap
from renderers.sheets.pointers import Pointer
from renderers.sheets.units import BOTTOM, TOP, Link, Unit
from renderers.sheets.wire_label import label_room

GRID = 6
_LISTED = 3  # lines of names of pages that count where words are fitted into a height


class Port(NamedTuple):
    """Where a link meets a box: face, and offset from the box's upper left corner (x on the grid)."""

    link: str
    face: int
    x: int
    y: float


class Mark(NamedTuple):
    """The ink of one terminal, with the point it stands for; `half` that of an in-line connector, else nothing."""

    point: str
    ink: tuple[Shape, ...]
    half: str = ""


class Symbol(NamedTuple):
    """The ink of a device's symbol, with the numbers of the parts that it stands for. `drawn`: of a contact, whether it
    (of a changeover contact: the first of the two) is drawn `closed` or `open`."""

    device: str
    parts: tuple[int, ...]
    ink: tuple[Shape, ...]
    drawn: str = ""

    @property
    def names(self) -> str:
        """The parts as a drawing names them: `K7:0 K7:1`."""
        return " ".join(f"{self.device}:{number}" for number in self.parts)


@dataclass(slots=True)
class Box:
    """A unit's shape. `width` is a multiple of 2 * GRID; all ink is relative to the upper left corner. `pointer`: room for
    words that say where else the item stands."""

    key: str
    item: str
    kind: str
    width: int = 0
    height: float = 0.0
    ports: list[Port] = field(default_factory=list)
    ink: list[Shape] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    symbols: list[Symbol] = field(default_factory=list)
    pointer: Pointer | None = None


class Context(NamedTuple):
    """What shapes need to know: the variant; the other page that shows the far end of a wire seen from a point, and
    words for the other pages on which an item stands, as long as they may get; where the links of the
    unit at hand come from, left to right (empty at first); boxes made before."""

    variant: Variant
    page_of_wire: Callable[[Wire, Point | None], str]
    pointer_of_item: Callable[[str], str]
    wish: Mapping[str, float]
    cache: dict[Hashable, Box]


class Ends(NamedTuple):
    """Links of a unit by face, in order; a link with both ends on one face is there twice."""

    top: tuple[Link, ...]
    bottom: tuple[Link, ...]

    def at(self, face: int, unit: str, point: Point) -> list[Link]:
        """Links that end at a point of the unit, on one face."""
        links = dict.fromkeys(self.bottom if face else self.top)
        return [k for k in links for t in k.tips if t == (unit, point, face)]


def up(value: float, step: int = GRID) -> int:
    """The next multiple of `step`."""
    return math.ceil(value / step - 1e-9) * step


def even(value: float) -> int:
    """The next multiple of twice the grid: box widths, so that middles lie on the grid."""
    return up(value, 2 * GRID)


def group_room(links: Sequence[Link], face: int) -> int:
    """Distance from the first port of a terminal to the next terminal's, on one face."""
    if face == TOP:
        return 2 * GRID * max(1, len(links))
    return sum(label_room(link) for link in links) or 2 * GRID


def group_ports(links: Sequence[Link], face: int, x: int, y: float) -> list[Port]:
    """Ports of the links at one terminal, from `x` to the right."""
    ports = []
    for link in links:
        ports.append(Port(link.key, face, x, y))
        x += 2 * GRID if face == TOP else label_room(link)
    return ports


class Line(NamedTuple):
    """A line of the words beside a box. `points`: room for a line that says where else the thing stands."""

    text: str
    size: float = SMALL
    bold: bool = False
    points: bool = False


def name_lines(id_: str, title: str, words: Sequence[str], limit: float = 84, pointer: str = "") -> list[Line]:
    """Id, title, further words and those that point to other pages, wrapped."""
    lines = [Line(id_, TEXT, True)] if id_ else []
    lines += [Line(text) for text in wrap(title, limit, SMALL, most=4)]
    for more in words:
        lines += [Line(text) for text in wrap(more, limit, SMALL, most=4)]
    return lines + pointer_lines(pointer, limit)


def pointer_lines(pointer: str, limit: float) -> list[Line]:
    """Room for words that point to other pages."""
    return [Line(text, points=True) for text in wrap(pointer, limit, SMALL)]


def fitted(id_: str, title: str, words: Sequence[str], high: float, pointer: str = "") -> list[Line]:
    """Lines as narrow as a height allows: what stands beside a tall box need not be wide. A long list of pages may be
    higher, for only some of the room that is kept for it will be needed."""
    least = max(longest(text, SMALL) for text in ("", title, *words, pointer))
    lines = []
    for limit in (46, 56, 66, 76, 88, 100):
        if limit < least and limit < 100:
            continue
        lines = name_lines(id_, title, words, limit, pointer)
        spare = max(0, sum(line.points for line in lines) - _LISTED)
        if lines_size(lines[: len(lines) - spare])[1] <= high and not any(line.text.endswith("…") for line in lines):
            break
    return lines


def lines_size(lines: Sequence[Line]) -> tuple[float, float]:
    """Width and height of lines."""
    if not lines:
        return 0.0, 0.0
    return max(width(t, s, b) for t, s, b, _ in lines), sum(line.size * LEADING for line in lines)


def lines_ink(lines: Sequence[Line], x: float, y: float, anchor: str = "start") -> list[Shape]:
    """Lines as words, the first line's top at `y`. Those that point to other pages are left for later."""
    ink: list[Shape] = []
    for text, size, bold, points in lines:
        if not points:
            ink.append(Words(x, y + size * 0.82, text, size, bold, anchor))
        y += size * LEADING
    return ink


def pointer_of(item: str, lines: Sequence[Line], x: float, y: float, anchor: str = "start") -> Pointer | None:
    """The room that lines keep for the words that point to other pages; these come last."""
    count = sum(line.points for line in lines)
    if not count:
        return None
    above = lines_size(lines[:-count])[1]
    return Pointer(item, x, y + above, anchor, lines_size(lines)[0], count)


def wished(links: Sequence[Link], wish: Mapping[str, float]) -> float | None:
    """Mean wish of some links."""
    values = [wish[link.key] for link in links if link.key in wish]
    return sum(values) / len(values) if values else None


def in_order(cells: Sequence[str], groups: Sequence[Sequence[Link]], context: Context) -> list[int]:
    """Indexes of cells from left to right: as the wires wish, else as they stand in the connector."""
    wishes = [wished(group, context.wish) for group in groups]
    if any(wish is None for wish in wishes):
        return list(range(len(cells)))
    return sorted(range(len(cells)), key=lambda i: (wishes[i] or 0.0, i))


__all__ = ["BOTTOM", "TOP", "Box", "Context", "Ends", "Line", "Link", "Mark", "Port", "Symbol", "Unit"]
