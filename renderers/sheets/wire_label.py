"""The label that stands to the right of a wire: circuit and segment in bold, size, colour, core of a cable.

Where several wires hang side by side a label has two lines, to be narrow; beside a wire that hangs alone it has one.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from functools import lru_cache
from typing import TYPE_CHECKING

from compiler.model.items import Wire
from renderers.sheets.ink import Shape, Words
from renderers.sheets.labels import LEADING, SMALL, width

if TYPE_CHECKING:
    from renderers.sheets.units import Link

GAP = 3.2  # from the middle of a wire to its label
BETWEEN = 3.0  # between words of a line
WIDEST = 50.0  # of a line, where it can be broken
FLAT = 64.0  # of a label on one line
APART = 5.0  # at least from a label to other words on its right; what is measured is a little less (`LEAST_GAP`)
GRID = 6

Line = tuple[tuple[str, bool], ...]


def size_words(wire: Wire) -> str:
    """A wire's size as labels show it: mm2 without its unit, `?` when not known."""
    if wire.size is None:
        return "?" if "size" in wire.unknown else ""
    return wire.size.name if wire.size.system == "mm2" else str(wire.size)


def label(wire: Wire) -> tuple[str, str, str, str]:
    """What a label says: circuit and segment, size, colour, core of a cable."""
    return wire.id, size_words(wire), wire.colour or ("?" if "colour" in wire.unknown else ""), wire.core


def _lines_of(link: Link) -> tuple[Line, ...]:
    return _lines(*label(link.wire), link.alone)


@lru_cache(maxsize=8192)
def _lines(name: str, size: str, colour: str, core: str, flat: bool) -> tuple[Line, ...]:
    whole: Line = ((name, True), *((text, False) for text in (size, colour, core) if text))
    if flat and _width(whole) <= FLAT:
        return (whole,)
    lines: list[Line] = [((text, True),) for text in _broken(name)]
    if size and _width((*lines[-1], (size, False))) <= WIDEST:
        lines[-1] = (*lines[-1], (size, False))
    elif size:
        lines.append(((size, False),))
    rest = tuple((text, False) for text in (colour, core) if text)
    return (*lines, rest) if rest else tuple(lines)


def _broken(name: str) -> list[str]:
    """A long wire id in lines, broken before full stops and hyphens."""
    lines = [""]
    for piece in re.findall(r"[.-]?[^.-]*", name):
        if lines[-1] and width(lines[-1] + piece, SMALL, True) > WIDEST:
            lines.append("")
        lines[-1] += piece
    return lines


def _width(line: Line) -> float:
    return sum(width(text, SMALL, bold) for text, bold in line) + BETWEEN * (len(line) - 1)


def label_room(link: Link) -> int:
    """Distance from a wire to its neighbour on the right, label between (on the grid)."""
    return max(2 * GRID, math.ceil((label_reach(link) + 3.4) / GRID) * GRID)


def label_reach(link: Link) -> float:
    """How far a label reaches to the right, from the middle of its wire."""
    return GAP + max(_width(line) for line in _lines_of(link))


def label_height(links: Iterable[Link]) -> float:
    """Room that the labels of some links take below their ports, with a little air; 0 without links."""
    return max((len(_lines_of(k)) * SMALL * LEADING + 3.0 for k in links), default=0.0)


def label_ink(x: float, y: float, link: Link) -> list[Shape]:
    """A wire's label right of its line, below a port at (x, y)."""
    ink: list[Shape] = []
    y += 3 + SMALL * 0.8
    for line in _lines_of(link):
        at = x + GAP
        for text, bold in line:
            ink.append(Words(at, y, text, SMALL, bold))
            at += width(text, SMALL, bold) + BETWEEN
        y += SMALL * LEADING
    return ink
