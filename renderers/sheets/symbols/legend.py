"""Every symbol with its words, each as a small drawing of its own: for the page of the pack that explains the sheets."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from compiler.kinds import kinds
from compiler.model.items import Part
from grammar.source import Source, Span
from renderers.drawings.svg import FONT
from renderers.sheets.ink import INK, Disc, Rect, Shape, Stroke, Words, line, moved, number, svg
from renderers.sheets.labels import SMALL, TEXT
from renderers.sheets.symbols import DRAWERS, Glyph, Style, marks, symbol
from renderers.sheets.symbols.base import arrow_head, lead
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
    """All symbols in the order in which they are explained: wires and joints first, then kinds by name, relays and
    switches, module pins."""
    rows = (*_wires(), *_joints(), *_kinds(), *_relays(), *_switches(), *_pins())
    return tuple(_drawn(words, shapes, box) for words, shapes, box in rows)


_Row = tuple[str, list[Shape], tuple[float, float, float, float]]
_SQUARE = (-14.0, -12.0, 14.0, 12.0)


def _wire(*points: tuple[float, float], base: str = "#C9CED3", tracer: str = "") -> list[Shape]:
    pens = [(3.0, INK, ""), (2.0, base, ""), *([(0.9, tracer, "5 4")] if tracer else [])]
    return [Stroke(points, width, dash, colour=colour) for width, colour, dash in pens]


def _wires() -> Iterator[_Row]:
    words = (("00B", 0.0, True), ("2.5", 17.0, False))
    label: list[Shape] = [Words(-16 + x, -2.6, text, SMALL, bold) for text, x, bold in words]
    label.append(Words(-16, 4.8, "BK/WH", SMALL))
    sample = [*_wire((-19.2, -12), (-19.2, 12), base="#1C1C1C", tracer="#FFFFFF"), *label]
    yield "wire, for example: circuit 00, segment B, 2.5 mm², black with a white tracer", sample, (-22.0, -12.0, 14.0, 12.0)
    cross = [*_wire((-12, 0), (12, 0)), *_wire((0, -12), (0, 12))]
    yield "wires that cross and are not joined", cross, _SQUARE
    pair = [*_wire((-6, -12), (-6, 12)), *_wire((6, -12), (6, 12))]
    yield "twisted wires", [*pair, *marks.figure_of_eight(True, -6, 6, 0)], _SQUARE
    yield "one wire of the twist TP1", [*_wire((-8, -12), (-8, 12)), *marks.wave(True, -8, 0), _text(1, "TP1")], _SQUARE
    drain = [*_wire((16, -12), (16, 12)), line((6 + marks.SCREEN, 0), (16, 0), width=marks.MARK_PEN)]
    yield (
        "cores in a screen, and the wire that drains it",
        [*pair, *marks.screen(True, -6, 6, 0), *drain],
        (-14.0, -12.0, 19.0, 12.0),
    )
    alone = [*_wire((0, -12), (0, 12)), *marks.wave(True, 0, 0), *marks.ring(True, 0, 0)]
    yield "one core of a twisted and screened cable", alone, _SQUARE
    yield (
        "wire goes on, on the sheet named at the arrow",
        [*_wire((0, -12), (0, 0)), arrow_head((0, 7), (0, 0), 7)],
        _SQUARE,
    )
    yield (
        "wire whose other end is not known",
        [*_wire((0, -12), (0, 2)), Words(0, 11, "?", TEXT, True, "middle")],
        _SQUARE,
    )


def _text(x: float, words: str) -> Words:
    return Words(x - 4, 2.3, words, SMALL)


def _numbers(*heights: float) -> list[Shape]:
    return [Words(0, y, "7", 6.6, False, "middle") for y in heights]


def _joints() -> Iterator[_Row]:
    joint = [*_wire((-6, 0), (-6, 12)), *_wire((6, 0), (6, 12)), *_wire((0, -12), (0, 0)), *marks.joint(-6, 0, 6)]
    yield "splice: wires that are joined", joint, _SQUARE
    yield "terminal", [*_wire((0, -12), (0, 0)), *marks.terminal(0, 0)], _SQUARE
    several = [*_wire((-6, -12), (-6, 0)), *_wire((6, -12), (6, 0)), *marks.terminal(-6, 0, 6)]
    yield "terminal at which several wires end", several, _SQUARE
    plug = [*_wire((0, -14), (0, -5.2)), Rect(-8, -5.2, 16, 10.5, 0.8, "#FFFFFF"), line((-14, 5.3), (14, 5.3))]
    yield "plug of a component: one cavity", [*plug, Words(0, 2.3, "7", SMALL, False, "middle")], _SQUARE
    halves: list[Shape] = [Rect(-10, -11.7, 20, 10.5, 0.8, "#FFFFFF"), Rect(-10, 1.2, 20, 10.5, 0.8, "#E4E8EC")]
    halves += [line((0, -1.2), (0, 1.2), width=1.6)]
    halves += _numbers(-4.2, 8.7)
    yield "in-line connector: one cavity, the second-named half shaded", halves, (-14.0, -14.0, 14.0, 14.0)
    contacts: list[Shape] = [Rect(-10, -14.5, 20, 10.5, 0.8, "#FFFFFF"), Rect(-10, 4, 20, 10.5, 0.8, "#E4E8EC")]
    contacts += [*marks.mated(0, -4, 4, pin_above=True), *_numbers(-7, 11.5)]
    yield "in-line connector: pin above, socket below", contacts, (-14.0, -15.0, 14.0, 15.0)
    ground = [*_wire((0, -12), (0, -4)), *marks.terminal(0, -4), line((0, -2), (0, 2)), *marks.ground(0, 2)]
    yield "ground point", ground, _SQUARE
    yield "case bolted to metal", [line((0, -8), (0, 0)), *marks.chassis(0, 0)], _SQUARE
    block: list[Shape] = [Rect(-12, -10, 24, 22, 0.7, "none", "5 2.5", "#555555"), lead(-10, -4), lead(4, 12)]
    block += [Rect(-6, -11.5, 12, 3, 0.4, INK), Rect(-2.5, -5, 5, 11, 0.8, "#FFFFFF"), lead(-10, 12)]
    yield "bus bar with a fuse, in the outline of its block", block, (-14.0, -12.0, 14.0, 14.0)
    trace: list[Shape] = [
        line((-10, -6), (10, -6), width=1.5),
        line((0, -6), (0, 10), width=1.5),
        Disc(0, -6, 1.7, 0.4, INK),
    ]
    yield "trace of a printed circuit", trace, _SQUARE
    inside = [Rect(-12, -2, 24, 13, 0.9, "#FFFFFF"), *marks.terminal(0, -2), Words(2.8, 6.2, "X1", SMALL)]
    yield "component whose insides are not given", [*_wire((0, -12), (0, -2)), *inside], _SQUARE


def _kinds() -> Iterator[_Row]:
    for name in sorted(DRAWERS):
        kind = kinds()[name]
        if name == "contact":
            for words, closed in (("contact, open at rest", False), ("contact, closed at rest", True)):
                yield _row(words, symbol(_part(name, ("1", "2")), Style(12, closed=closed)))
            yield _row("changeover contact, shown at rest", changeover("30", "87a", "87", 18))
        else:
            yield _row(kind.title, symbol(_part(name, kind.terminals or ("1", "2")), Style(12)))


def _part(kind: str, terminals: tuple[str, ...]) -> Part:
    return Part(kind, terminals, "", "", {}, (), "", (), _NOWHERE)


def _row(words: str, glyph: Glyph) -> _Row:
    return words, list(glyph.ink), (-glyph.left, 0.0, glyph.right, glyph.height)


def _relays() -> Iterator[_Row]:
    blade, coil = symbol(_part("contact", ("1", "2")), Style()), symbol(_part("coil", ("1", "2")), Style())
    assert blade.link is not None
    joined: list[Shape] = [
        line((blade.link[0], 12), (20, 12), width=0.6, dash="2.2 1.6"),
        *blade.ink,
        *moved(coil.ink, 24, 0),
    ]
    yield "relay at rest: its coil moves the contact", joined, (-9.0, 0.0, 34.0, 24.0)
    for word in ("with-diode", "with-resistor"):
        glyph = symbol(_part("coil", ("1", "2")), Style(words=word))
        yield _row(f"coil {word.replace('-', ' with a ', 1).removeprefix('with ')} across it", glyph)


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
