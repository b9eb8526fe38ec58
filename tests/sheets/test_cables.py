"""Twisted and screened wires are marked: together where they run side by side, else each of them."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from compiler.model.variant import Variant
from renderers.sheets.cables import Bundle, bundles, cable_marks
from renderers.sheets.ink import Arc, Shape, Stroke, Words, svg
from renderers.sheets.measure import read_svg
from renderers.sheets.symbols.marks import LONE, SCREEN

from .conftest import drawn
from .readback import twisted_pairs

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="300pt" height="200pt" viewBox="0 0 300 200">'
PAIR = """
variant V "V" { supply 12.6 V }
zone bay "Bay" 200 by 140
harness main "Main"
sensor B1 "Sensor" 1 2 3 at bay (10, 10)
module A1 "Module" at bay (20, 20) {
  connector C1 4 cavities { spare rest }
  pin C1.1 input "one"
  pin C1.2 input "two"
  pin C1.3 sensor-ground "screen"
}
CABLE
circuit 1 "One" in main { A B1.1 -- C1.1 1 m CORE1 }
circuit 2 "Two" in main { A B1.2 -- C1.2 1 m CORE2 }
circuit 3 "Screen" in main { A B1.3 -- C1.3 1 m CORES }
TWIST
sheet 1 "Sensor" { circuits 1 2 3 }
"""
CABLE = "cable W1 in main { core 1 0.5 mm2 WH; core 2 0.5 mm2 BN; shield S 0.5 mm2 BK; twist 1 2 }"


def source(cable: str = "", twist: str = "") -> str:
    """The sensor with its wires in a cable, or twisted, or neither."""
    text = PAIR.replace("CABLE", cable).replace("TWIST", twist)
    for name in ("1", "2", "S"):
        text = text.replace(f"CORE{name}", f"core W1.{name}" if cable else "0.5 mm2 BK")
    return text


def wires(**points: str) -> str:
    """A drawing of wires; names begin with `w`."""
    lines = (f'<g class="wire" data-wire="{n[1:]}"><path d="{d}" stroke-width="3"/></g>' for n, d in points.items())
    return f"{HEAD}{''.join(lines)}</svg>"


def marks(variant: Variant, text: str) -> list[Shape]:
    """The marks on a drawing."""
    return cable_marks(bundles(variant), read_svg(text))


def test_bundles_are_those_of_the_model(variant_of: Callable[[str], Variant]) -> None:
    twist = variant_of(source(twist='twist TP1 "Pair" { wires 1A 2A }'))
    assert list(bundles(twist)) == [Bundle(("1A", "2A"), "TP1", twisted=True)]
    cable = variant_of(source(CABLE))
    assert list(bundles(cable)) == [Bundle(("1A", "2A"), "", True, True, ("3A",))]
    three = variant_of(source(CABLE.replace("shield S", "core S")))
    assert list(bundles(three)) == [Bundle(("1A", "2A"), twisted=True)], "not screened"
    plain = variant_of(source(CABLE.replace("; twist 1 2", "")))
    assert list(bundles(plain)) == [Bundle(("1A", "2A"), screened=True, drains=("3A",))]


def test_wires_side_by_side_bear_one_figure_of_eight(variant_of: Callable[[str], Variant]) -> None:
    variant = variant_of(source(twist='twist TP1 "Pair" { wires 1A 2A }'))
    ink = marks(variant, wires(w1A="M100 20L100 120", w2A="M130 40L130 160"))
    arcs = sorted((s.x, s.y) for s in ink if isinstance(s, Arc))
    assert [x for x, _ in arcs] == [100, 130], "half a circle round each"
    assert arcs[0][1] == arcs[1][1]
    assert 40 < arcs[0][1] < 120
    crossed = [s.points for s in ink if isinstance(s, Stroke)]
    assert [(a[0], b[0]) for a, b in crossed] == [(100, 130), (100, 130)]
    across = marks(variant, wires(w1A="M20 100L120 100", w2A="M40 130L160 130"))
    assert sorted(s.y for s in across if isinstance(s, Arc)) == [100, 130]


def test_wires_apart_bear_a_mark_and_the_name_each(variant_of: Callable[[str], Variant]) -> None:
    variant = variant_of(source(twist='twist TP1 "Pair" { wires 1A 2A }'))
    for other in ("M100 130L100 190", "M250 20L250 120"):  # one below the other, too far
        ink = marks(variant, wires(w1A="M100 20L100 120", w2A=other))
        assert [s.text for s in ink if isinstance(s, Words)] == ["TP1", "TP1"]
        assert len([s for s in ink if isinstance(s, Arc)]) == 4
    between = marks(variant, wires(w1A="M100 20L100 120", w2A="M130 20L130 120", w9Z="M115 10L115 150"))
    assert [s.text for s in between if isinstance(s, Words)] == ["TP1", "TP1"], "another wire runs between"


def test_a_screen_goes_round_its_cores_and_to_its_drain(variant_of: Callable[[str], Variant]) -> None:
    variant = variant_of(source(CABLE))
    drawing = wires(w1A="M100 20L100 120", w2A="M112 20L112 120", w3A="M140 20L140 120")
    strokes = [s for s in marks(variant, drawing) if isinstance(s, Stroke)]
    dashed = [s for s in strokes if s.dash]
    xs = [x for s in dashed for x, _ in s.points]
    assert (min(xs), max(xs)) == (100 - SCREEN, 112 + SCREEN)
    (drain,) = [s for s in strokes if not s.dash and s.points[0][1] == s.points[1][1]]
    assert [x for x, _ in drain.points] == [112 + SCREEN, 140]
    lone = marks(variant, wires(w1A="M100 20L100 60", w2A="M112 90L112 120"))
    assert {s.x for s in lone if isinstance(s, Arc) and s.r > LONE - 0.5} == {100, 112}, "a dashed ring round each"


def test_a_mark_keeps_off_text_and_boxes(variant_of: Callable[[str], Variant]) -> None:
    variant = variant_of(source(twist='twist TP1 "Pair" { wires 1A 2A }'))
    drawing = wires(w1A="M100 20L100 120", w2A="M130 20L130 120")
    box = '<g class="device"><rect x="104" y="22" width="20" height="70"/></g></svg>'
    ys = [s.y for s in marks(variant, drawing.replace("</svg>", box)) if isinstance(s, Arc)]
    assert ys
    assert min(ys) > 92 + 3
    full = box.replace("70", "99").replace(
        "</svg>", '<g class="label"><text x="80" y="40" font-size="30">MM</text></g></svg>'
    )
    assert all(
        abs(s.x - 100) < 4 or abs(s.x - 130) < 4
        for s in marks(variant, drawing.replace("</svg>", full))
        if isinstance(s, Arc)
    )


def test_a_wire_without_a_bundle_bears_nothing(variant_of: Callable[[str], Variant]) -> None:
    assert marks(variant_of(source()), wires(w1A="M100 20L100 120", w2A="M130 20L130 120")) == []


@pytest.mark.parametrize("name", ["S2", "S4", "tour"])
def test_all_twists_and_screens_of_a_sample_are_marked(name: str) -> None:
    variant, figures = drawn(name)
    for sheet, figure in figures.items():
        drawing = read_svg(figure.svg)
        shown = {wire.id for wire in drawing.wires}
        wanted = [b for b in bundles(variant) if shown.intersection(b.wires)]
        assert ('class="mark"' in figure.svg) == bool(wanted)
        bare = read_svg(figure.svg.partition('<g class="mark"')[0].removesuffix("</svg>\n") + "</svg>")
        for bundle in wanted:
            assert cable_marks([bundle], bare), (sheet, bundle)
    assert any(bundles(variant))


@pytest.mark.parametrize("name", ["S2", "S4", "tour"])
def test_figures_of_eight_read_back_as_the_twists_of_the_model(name: str) -> None:
    variant, figures = drawn(name)
    meant = {frozenset(b.wires) for b in bundles(variant) if b.twisted}
    seen = {pair for figure in figures.values() for pair in twisted_pairs(figure.svg)}
    assert seen <= meant


@pytest.mark.parametrize("other", ["M130 40L130 160", "M130 10L130 90L180 90"])
def test_a_figure_of_eight_reads_back(other: str, variant_of: Callable[[str], Variant]) -> None:
    variant = variant_of(source(twist='twist TP1 "Pair" { wires 1A 2A }'))
    names = "".join(
        f'<text x="{x + 3.2}" y="{y}" font-size="6.6" font-weight="700">{name}</text>'
        for x, y, name in ((100, 28, "1A"), (130, 48, "2A"))
    )
    bare = wires(w1A="M100 20L100 120", w2A=other).replace("</svg>", f'<g class="label">{names}</g></svg>')
    ink = "".join(svg(shape) for shape in marks(variant, bare))
    marked = bare.replace("</svg>", f"{ink}</svg>")
    assert twisted_pairs(bare) == set()
    assert twisted_pairs(marked) == {frozenset({"1A", "2A"})}
    assert twisted_pairs(marked.replace(">2A<", ">9Z<")) == {frozenset({"1A", "9Z"})}
