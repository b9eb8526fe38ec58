"""Marks that stand for no part: terminals, contacts, splice, ground, arrow heads."""

from __future__ import annotations

from renderers.sheets.ink import Arc, Disc, Shape, Stroke, line
from renderers.sheets.symbols.base import lead

PAPER = "#FFFFFF"

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


def female(x: float, y: float) -> list[Shape]:
    """A female contact: an open half-round cup, open downwards, on a lead from above."""
    return [lead(y - 5, y, x), Arc(x, y + 3, 3, 180, 360)]


def male(x: float, y: float) -> list[Shape]:
    """A male contact: a filled bar at the end of a lead from below."""
    return [
        Stroke(((x - 1.2, y), (x + 1.2, y), (x + 1.2, y + 5), (x - 1.2, y + 5)), 0.6, "", "#111111", True),
        lead(y + 5, y + 9, x),
    ]
