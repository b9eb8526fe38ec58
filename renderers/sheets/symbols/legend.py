"""Every symbol with its words, each as a small drawing of its own: for the page of the pack that explains the sheets."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from compiler.kinds import kinds
from compiler.model.items import Part
from grammar.source import Source, Span
from renderers.drawings.svg import FONT
from renderers.sheets.ink import INK, Rect, Shape, Stroke, Words, line, moved, number, svg
from renderers.sheets.symbols import DRAWERS, Glyph, Style, marks, symbol
from renderers.sheets.symbols.base import arrow_head
from renderers.sheets.symbols.contacts import changeover
from renderers.sheets.symbols.operators import operator
from renderers.sheets.symbols.pins import role_mark

PAD = 4.0
_NOWHERE = Span(Source("built-in", ""), 0, 0)

# `operated-by` words that have marks of their own, and what they are called.
_OPERATORS = {
    "hand": "switch moved by hand",
    "push": "push switch",
    "rotary": "rotary switch",
    "key": "key switch",
    "pedal": "pedal switch",
    "pressure": "pressure switch",
    "temperature": "temperature switch",
    "level": "level switch",
    "tilt": "tilt switch",
    "gear": "switch moved by a cam or gear lever",
    "door": "door switch",
}
_ROLES = {
    "supply": "module pin: supply",
    "ground": "module pin: ground",
    "high-side": "module pin: switches the supply out",
    "low-side": "module pin: switches to ground",
    "input": "module pin: input",
    "pull-up-input": "module pin: input held up inside",
    "output": "module pin: signal out",
    "data": "module pin: data",
}


class Symbol(NamedTuple):
    """A symbol: what it means, a self-contained drawing of it, and the drawing's size in points."""

    words: str
    svg: str
    width_pt: float
    height_pt: float


def legend() -> tuple[Symbol, ...]:
    """All symbols in the order in which they are explained: joints first, then kinds by name, switches, module pins."""
    return tuple(_drawn(words, shapes, box) for words, shapes, box in (*_joints(), *_kinds(), *_switches(), *_pins()))


_Row = tuple[str, list[Shape], tuple[float, float, float, float]]


def _wire(*points: tuple[float, float]) -> Stroke:
    return Stroke(points, 3.0)


def _joints() -> Iterator[_Row]:
    box = (-14.0, -12.0, 14.0, 12.0)
    yield "wires that cross and are not joined", [_wire((-12, 0), (12, 0)), _wire((0, -12), (0, 12))], box
    joint = [_wire((-6, 0), (-6, 12)), _wire((6, 0), (6, 12)), _wire((0, -12), (0, 0)), *marks.joint(-6, 0, 6)]
    yield "splice: wires that are joined", joint, box
    yield "terminal", [_wire((0, -12), (0, 0)), *marks.terminal(0, 0)], box
    several = [_wire((-6, -12), (-6, 0)), _wire((6, -12), (6, 0)), *marks.terminal(-6, 0, 6)]
    yield "terminal at which several wires end", several, box
    yield "male contact", [*marks.male(0, -5)], box
    yield "female contact", [*marks.female(0, -2)], box
    halves: list[Shape] = [Rect(-10, -11.7, 20, 10.5, 0.8, "#FFFFFF"), Rect(-10, 1.2, 20, 10.5, 0.8, "#E4E8EC")]
    halves += [line((0, -1.2), (0, 1.2), width=1.6)]
    halves += [Words(0, y, "7", 6.6, False, "middle") for y in (-4.2, 8.7)]
    yield "in-line connector: one cavity, the second-named half shaded", halves, (-14.0, -14.0, 14.0, 14.0)
    yield (
        "ground point",
        [_wire((0, -12), (0, -4)), *marks.terminal(0, -4), line((0, -2), (0, 2)), *marks.ground(0, 2)],
        box,
    )
    yield "case bolted to metal", [line((0, -8), (0, 0)), *marks.chassis(0, 0)], box
    yield "wire goes on, on the sheet named at the arrow", [_wire((0, -12), (0, 0)), arrow_head((0, 7), (0, 0), 7)], box


def _kinds() -> Iterator[_Row]:
    for name in sorted(DRAWERS):
        kind = kinds()[name]
        if name == "contact":
            for words, closed in (("contact, open at rest", False), ("contact, closed at rest", True)):
                yield _row(words, symbol(_part(name, ("1", "2")), Style(closed=closed)))
            yield _row("changeover contact, shown at rest", changeover("30", "87a", "87", 18))
        else:
            yield _row(kind.title, symbol(_part(name, kind.terminals or ("1", "2")), Style()))


def _part(kind: str, terminals: tuple[str, ...]) -> Part:
    return Part(kind, terminals, "", "", {}, (), "", (), _NOWHERE)


def _row(words: str, glyph: Glyph) -> _Row:
    return words, list(glyph.ink), (-glyph.left, 0.0, glyph.right, glyph.height)


def _switches() -> Iterator[_Row]:
    blade = symbol(_part("contact", ("1", "2")), Style())
    assert blade.link is not None
    x, y = blade.link
    for word, words in _OPERATORS.items():
        shapes = [*blade.ink, *moved(operator(word), -10, y), line((-10, y), (x, y), width=0.6, dash="2.2 1.6")]
        yield words, shapes, (-24.0, 0.0, 6.0, blade.height)


def _pins() -> Iterator[_Row]:
    for role, words in _ROLES.items():
        yield words, [line((0, 0), (0, 4)), *role_mark(role, False)], (-9.0, 0.0, 9.0, 18.0)


def _drawn(words: str, shapes: list[Shape], box: tuple[float, float, float, float]) -> Symbol:
    x0, y0, x1, y1 = box
    wide, high = x1 - x0 + 2 * PAD, y1 - y0 + 2 * PAD
    n = number
    size = f'width="{n(wide)}pt" height="{n(high)}pt" viewBox="0 0 {n(wide)} {n(high)}"'
    ink = moved(shapes, PAD - x0, PAD - y0)
    lines = "".join(svg(s) for s in ink if not isinstance(s, Words))
    text = "".join(svg(s) for s in ink if isinstance(s, Words))
    body = f'<g fill="none" stroke="{INK}" stroke-width="0.8">{lines}</g><g fill="{INK}">{text}</g>'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} font-family="{FONT}">'
    return Symbol(words, f"{head}{body}</svg>", wide, high)
