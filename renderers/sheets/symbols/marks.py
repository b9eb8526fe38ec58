"""Marks that stand for no part: terminals, splice, ground, twists and screens."""

from __future__ import annotations

from itertools import pairwise

from renderers.sheets.ink import Arc, Disc, Shape, Stroke, line
from renderers.sheets.symbols.base import lead

PAPER = "#FFFFFF"
TWIST, SCREEN = 3.4, 4.8  # how far a mark round several wires reaches from the middle of a wire
LONE = 3.5  # how far a mark on one wire does
MARK_PEN = 0.7
CUP = 2.8  # radius of a socket
SCREEN_DASH = "2 1.4"

__all__ = ["PAPER", "lead"]


def terminal(x: float, y: float, last: float | None = None) -> list[Shape]:
    """A terminal: a small open circle; stretched to a bar where several wires end at it."""
    if last is None or last == x:
        return [Disc(x, y, 1.9, 0.8, PAPER)]
    return [
        Stroke(
            ((x - 1.9, y - 1.9), (last + 1.9, y - 1.9), (last + 1.9, y + 1.9), (x - 1.9, y + 1.9)), 0.8, "", PAPER, True
        )
    ]


def mated(x: float, above: float, below: float, *, pin_above: bool) -> list[Shape]:
    """A pin in its socket, between two halves of a connector: a filled bar that ends within a half circle (IEC 60617,
    plug and socket contact; from memory)."""
    pin, socket, way = (above, below, 1) if pin_above else (below, above, -1)
    middle = socket - way * (CUP + 1)
    cup = Arc(x, middle, CUP, 0, 180) if pin_above else Arc(x, middle, CUP, 180, 360)
    tip = line((x, pin), (x, middle + way * 0.6), width=2.0)
    return [cup, line((x, middle + way * CUP), (x, socket)), tip]


def ground(x: float, y: float) -> list[Shape]:
    """Bars that shrink downwards."""
    return [
        line((x - 8, y), (x + 8, y), width=1.2),
        line((x - 5, y + 3), (x + 5, y + 3), width=1.2),
        line((x - 2, y + 6), (x + 2, y + 6), width=1.2),
    ]


def chassis(x: float, y: float) -> list[Shape]:
    """A bar with three slanted strokes: bolted to the device's own metal."""
    strokes = (line((x + d, y), (x + d - 3, y + 4)) for d in (-4.0, 1.0, 6.0))
    return [line((x - 6, y), (x + 6, y), width=1), *strokes]


def joint(x: float, y: float, last: float | None = None) -> list[Shape]:
    """A splice: a filled dot, stretched where several wires join."""
    if last is None or last == x:
        return [Disc(x, y, 2.6, 0.8, "#111111")]
    return [
        Stroke(
            ((x - 2.2, y - 2.2), (last + 2.2, y - 2.2), (last + 2.2, y + 2.2), (x - 2.2, y + 2.2)),
            0.8,
            "",
            "#111111",
            True,
        )
    ]


def figure_of_eight(upright: bool, first: float, last: float, middle: float) -> list[Shape]:
    """Half a circle round the outer side of each outer wire, joined crosswise."""
    low, high = middle - TWIST, middle + TWIST
    if upright:
        ends = (Arc(first, middle, TWIST, 90, 270, MARK_PEN), Arc(last, middle, TWIST, -90, 90, MARK_PEN))
        lines = (line((first, low), (last, high), width=MARK_PEN), line((first, high), (last, low), width=MARK_PEN))
    else:
        ends = (Arc(middle, first, TWIST, 180, 360, MARK_PEN), Arc(middle, last, TWIST, 0, 180, MARK_PEN))
        lines = (line((low, first), (high, last), width=MARK_PEN), line((high, first), (low, last), width=MARK_PEN))
    return [*ends, *lines]


def wave(upright: bool, at: float, middle: float) -> list[Shape]:
    """A wave across one wire: this much of a figure of eight."""
    r = LONE / 2
    if upright:
        return [Arc(at - r, middle, r, 180, 360, MARK_PEN), Arc(at + r, middle, r, 0, 180, MARK_PEN)]
    return [Arc(middle, at - r, r, 90, 270, MARK_PEN), Arc(middle, at + r, r, -90, 90, MARK_PEN)]


def ring(upright: bool, at: float, middle: float) -> list[Shape]:
    """A dashed circle round one wire."""
    x, y = (at, middle) if upright else (middle, at)
    return [Arc(x, y, LONE - 0.2, start, start + 44, MARK_PEN) for start in range(0, 360, 72)]


def screen(upright: bool, first: float, last: float, middle: float) -> list[Shape]:
    """A dashed outline round all wires."""
    low, high = middle - SCREEN, middle + SCREEN
    left, right = first - SCREEN, last + SCREEN
    corners = [(left, low), (right, low), (right, high), (left, high), (left, low)]
    spots = corners if upright else [(y, x) for x, y in corners]
    return [Stroke(piece, MARK_PEN, SCREEN_DASH) for piece in pairwise(spots)]
