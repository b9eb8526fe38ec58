"""Every kind has a symbol, with all its terminals, within its own bounds."""

from __future__ import annotations

import inspect
import math
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from compiler.kinds import kinds
from compiler.model.items import Part
from grammar.source import Source, Span
from renderers.sheets.ink import Arc, Blade, Disc, Rect, Shape, Stroke, Words, on_circle
from renderers.sheets.labels import SMALL, width
from renderers.sheets.symbols import DRAWERS, Style, loads, marks, symbol
from renderers.sheets.symbols.contacts import changeover
from renderers.sheets.symbols.legend import legend
from renderers.sheets.symbols.operators import WIDE, operator
from renderers.sheets.symbols.pins import pin

NOWHERE = Span(Source("none", ""), 0, 0)
# What is drawn by its parts, or pin by pin.
COMPOSED = {"component", "coil", "contact", "module", "pin", "printed-circuit", "relay", "switch", "trace"}


def part(kind: str, *terminals: str) -> Part:
    """A part of a kind."""
    stretches = kinds()[kind].stretches(terminals)
    return Part(kind, terminals, "", "", {}, (), "", stretches, NOWHERE)


def bounds(shapes: tuple[Shape, ...]) -> tuple[float, float, float, float]:
    """The box around some ink."""
    xs: list[float] = []
    ys: list[float] = []
    for shape in shapes:
        match shape:
            case Stroke():
                xs += [x for x, _ in shape.points]
                ys += [y for _, y in shape.points]
            case Blade():
                xs += [x for x, _ in (*shape.points, *shape.other)]
                ys += [y for _, y in (*shape.points, *shape.other)]
            case Rect():
                xs += [shape.x, shape.x + shape.w]
                ys += [shape.y, shape.y + shape.h]
            case Disc():
                xs += [shape.x - shape.r, shape.x + shape.r]
                ys += [shape.y - shape.r, shape.y + shape.r]
            case Arc():
                turn = shape.end - shape.start
                spots = [on_circle(shape.x, shape.y, shape.r, shape.start + turn * n / 24) for n in range(25)]
                xs += [x for x, _ in spots]
                ys += [y for _, y in spots]
            case Words():
                wide = width(shape.text, shape.size, shape.bold)
                left = shape.x - {"middle": wide / 2, "end": wide}.get(shape.anchor, 0.0)
                xs += [left, left + wide]
                ys += [shape.y - shape.size * 0.7, shape.y]
    return min(xs), min(ys), max(xs), max(ys)


def test_every_kind_has_a_symbol_of_its_own() -> None:
    assert set(kinds()) - COMPOSED <= set(DRAWERS)
    assert {"coil", "contact"} <= set(DRAWERS)
    shapes = {name: symbol(part(name, *_terminals(name)), Style()).ink for name in DRAWERS}
    alike = [(a, b) for a in shapes for b in shapes if a < b and shapes[a] == shapes[b]]
    assert alike == []


def _terminals(kind: str) -> tuple[str, ...]:
    return kinds()[kind].terminals or ("1", "2")


@pytest.mark.parametrize("kind", sorted(DRAWERS))
@pytest.mark.parametrize("pitch", [24, 48])
def test_pins_and_bounds(kind: str, pitch: int) -> None:
    least, most = kinds()[kind].least, kinds()[kind].most or 6
    names = _terminals(kind)
    for count in sorted({max(1, least), len(names), min(most, 4)}):
        terminals = (*names, "x", "y", "z")[:count] if count >= len(names) else names[:count]
        for closed in (False, True):
            glyph = symbol(part(kind, *terminals), Style(pitch, closed))
            for form in (glyph, glyph.flipped(), glyph.mirrored(), glyph.flipped().mirrored()):
                pins = [name for name, _ in (*form.top, *form.bottom)]
                if kind != "contact":
                    assert sorted(pins) == sorted(terminals)
                for row in (form.top, form.bottom):
                    offsets = [x for _, x in row]
                    assert all(x % 6 == 0 for x in offsets)
                    assert all(b - a >= 12 for a, b in pairwise(offsets))
                x0, y0, x1, y1 = bounds(form.ink)
                assert (x0, y0) >= (-form.left - 0.01, -0.01)
                assert x1 <= form.right + 0.01
                assert y0 >= -0.01
                assert y1 <= form.height + 0.01


def test_flipping_twice_changes_nothing() -> None:
    for kind in ("diode", "motor", "horn", "thermistor"):
        glyph = symbol(part(kind, "1", "2"), Style(words="a"))
        assert bounds(glyph.flipped().flipped().ink) == pytest.approx(bounds(glyph.ink))


def test_a_diode_points_from_its_first_to_its_second_terminal() -> None:
    glyph = symbol(part("diode", "1", "2"), Style())
    (triangle,) = [s for s in glyph.ink if isinstance(s, Stroke) and s.closed]
    assert glyph.top == (("1", 0),)
    tip = max(y for _, y in triangle.points)
    assert [x for x, y in triangle.points if y == tip] == [0], "the tip is below, on the line"


def test_a_contact_shows_the_state_at_rest() -> None:
    def blade(closed: bool) -> Blade:
        glyph = symbol(part("contact", "1", "2"), Style(closed=closed))
        (found,) = [s for s in glyph.ink if isinstance(s, Blade)]
        return found

    fixed = (0.0, 6.2)
    assert abs(blade(True).points[1][0] - fixed[0]) < 3, "closed: it ends at the fixed contact"
    assert blade(False).points[1][0] < -5, "open: it leans away to the left"
    assert (blade(True).other, blade(False).other) == (blade(False).points, blade(True).points)


def test_a_changeover_lies_on_the_contact_at_rest() -> None:
    glyph = changeover("30", "87a", "87", 24)
    assert glyph.bottom == (("87a", 0), ("87", 24))
    (blade,) = [s for s in glyph.ink if isinstance(s, Blade)]
    assert abs(blade.points[1][0]) < 3
    assert any(isinstance(s, Stroke) and math.dist(s.points[-1], blade.other[1]) < 1 for s in glyph.ink), (
        "it gets there"
    )


@pytest.mark.parametrize(
    "word", "push rotary key pressure temperature level tilt brake-pedal gear door hand nonsense".split()
)
def test_what_moves_a_switch_has_its_mark(word: str) -> None:
    x0, _, x1, _ = bounds(operator(word))
    assert x0 >= -WIDE
    assert x1 <= 3
    assert (operator(word) == operator("")) == (word in ("hand", "nonsense"))


@pytest.mark.parametrize("below", [False, True])
def test_words_of_a_pin_read_downwards(below: bool) -> None:
    glyph = pin("7", "low-side", "Fuel pump relay of the tank", below)
    lines = [s for s in glyph.ink if isinstance(s, Words)]
    assert [s.text for s in sorted(lines, key=lambda s: s.y)] == [s.text for s in lines]
    assert (glyph.bottom if below else glyph.top) == (("7", 0),)


def test_no_symbol_has_text_too_small_to_print() -> None:
    for kind in DRAWERS:
        for shape in symbol(part(kind, *_terminals(kind)), Style(words="abc")).ink:
            if isinstance(shape, Words):
                assert shape.size >= SMALL


def test_crossing_and_joint_cannot_be_confused() -> None:
    (dot,) = marks.joint(0, 0)
    assert isinstance(dot, Disc)
    assert dot.r > 1.5, "wider than the wire it lies on"
    assert dot.fill == "#111111"


@pytest.mark.parametrize("pin_above", [True, False])
def test_a_pin_ends_inside_the_cup_of_its_socket(pin_above: bool) -> None:
    ink = marks.mated(0, 10.5, 18.5, pin_above=pin_above)
    (cup,) = [s for s in ink if isinstance(s, Arc)]
    pin, stem = sorted((s for s in ink if isinstance(s, Stroke)), key=lambda s: -s.width)
    assert pin.width > 1.5 > stem.width, "the pin is filled, the socket a thin line"
    assert pin.points[0] == (0, 10.5 if pin_above else 18.5), "it comes from its own half"
    assert stem.points[-1] == (0, 18.5 if pin_above else 10.5)
    assert math.dist(pin.points[-1], (cup.x, cup.y)) < cup.r - 1
    middle = on_circle(cup.x, cup.y, cup.r, (cup.start + cup.end) / 2)
    assert middle == pytest.approx(stem.points[0]), "its back to its half, its opening to the pin"
    assert bounds(tuple(ink))[1::2] == (10.5, 18.5)


def test_drawers_say_what_they_draw() -> None:
    for name, function in inspect.getmembers(loads, inspect.isfunction):
        if function.__module__ == loads.__name__ and not name.startswith("_"):
            assert function.__doc__


def test_the_legend_explains_every_symbol_once() -> None:
    rows = legend()
    assert len({row.words for row in rows}) == len(rows)
    titles = {kinds()[name].title for name in DRAWERS if name != "contact"}
    assert titles <= {row.words for row in rows}
    assert {"twisted wires", "splice: wires that are joined", "coil with a diode across it"} <= {
        row.words for row in rows
    }
    assert "in-line connector: pin above, socket below" in {row.words for row in rows}
    for row in rows:
        root = ElementTree.fromstring(row.svg)
        assert root.get("width") == f"{row.width_pt:g}pt"
        assert len(list(root.iter())) > 3
