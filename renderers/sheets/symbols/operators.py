"""Marks of what moves a switch, at the end of the dashed line that joins its blades. The line ends at (0, 0), the mark
lies to the left of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from renderers.sheets.ink import Arc, Disc, Rect, Shape, Stroke, Words, line
from renderers.sheets.labels import SMALL

WIDE = 13.0  # room that a mark takes to the left

_BAR: tuple[Shape, ...] = (line((0, -4), (0, 4)),)


def _push() -> tuple[Shape, ...]:
    return (line((-3, -4), (0, -4), (0, 4), (-3, 4)),)


def _pull() -> tuple[Shape, ...]:
    return (line((3, -4), (0, -4), (0, 4), (3, 4)),)


def _rotary() -> tuple[Shape, ...]:
    return (line((0, -4), (0, 4)), line((0, -4), (-3, -4)), line((0, 4), (3, 4)))


def _letter(text: str) -> tuple[Shape, ...]:
    return (Rect(-12, -5, 12, 10, 0.7), Words(-6, 2.4, text, SMALL, False, "middle"))


def _level() -> tuple[Shape, ...]:
    return (Disc(-4, 0, 4), line((-11, 0), (-8, 0), width=0.6), line((-6.5, -3.1), (-6.5, 3.1), width=0.5))


def _tilt() -> tuple[Shape, ...]:
    return (line((0, -4), (0, 4)), line((-11, 4), (-1.5, -1)), Disc(-6, -1.4, 2.2, 0.8, "#111111"))


def _pedal() -> tuple[Shape, ...]:
    return (line((0, 4), (-6, -5)), line((-9, -3.2), (-3.4, -6.6), width=1.4))


def _key() -> tuple[Shape, ...]:
    return (Disc(-4, 0, 4), Disc(-4, 0, 1.2, 0.6))


def _cam() -> tuple[Shape, ...]:
    return (Arc(-4, 0, 4, 90, 270), line((-4, -4), (0, -1.5), (0, 1.5), (-4, 4)))


def _door() -> tuple[Shape, ...]:
    return (Stroke(((0, -3), (-5, 0), (0, 3)), 0.8, "", "none", True), line((-5, -5), (-5, 5), width=1.4))


_MARKS: Mapping[str, Callable[[], tuple[Shape, ...]]] = {
    "push": _push,
    "button": _push,
    "pull": _pull,
    "rotary": _rotary,
    "key": _key,
    "pressure": lambda: _letter("p"),
    "oil-pressure": lambda: _letter("p"),
    "temperature": lambda: _letter("t°"),
    "level": _level,
    "tilt": _tilt,
    "gear": _cam,
    "cam": _cam,
    "door": _door,
}


def operator(word: str) -> tuple[Shape, ...]:
    """The mark for the words of `operated-by`: that of the whole word, of its last part (`brake-pedal`), or the bar of a
    switch moved by hand."""
    last = word.rpartition("-")[2]
    if "pedal" in (word, last):
        return _pedal()
    drawer = _MARKS.get(word) or _MARKS.get(last)
    return drawer() if drawer else _BAR
