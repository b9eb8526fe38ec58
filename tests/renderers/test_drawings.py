"""Drawings of fuse blocks and zones: whole, and no label on another."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from compiler.model.items import Located, Place, Zone
from compiler.model.variant import Variant
from renderers.context import PackContext
from renderers.document import Pack
from renderers.drawings import svg
from renderers.drawings.fuse_block import draw_block
from renderers.drawings.zone import draw_zone
from renderers.sheets.labels import width

TEXT = "{http://www.w3.org/2000/svg}text"


def parsed(markup: str) -> ET.Element:
    return ET.fromstring(markup)


def placed(variant: Variant, points: list[tuple[float, float]]) -> tuple[Zone, list[Located]]:
    """A zone with an item at each point."""
    zone = variant.zones["cab"]
    some = variant.devices["E3"]
    return zone, [
        replace(some, id=f"E{n}", place=Place("cab", point, "", None, None)) for n, point in enumerate(points)
    ]


coordinate = st.floats(-50, 400, allow_nan=False)


@given(points=st.lists(st.tuples(coordinate, coordinate), min_size=1, max_size=60))
def test_call_outs_never_overlap_and_stay_on_the_drawing(small: Variant, points: list[tuple[float, float]]) -> None:
    figure = draw_zone(*placed(small, points))
    root = parsed(figure.svg)
    labels = [
        (t.get("text-anchor"), float(t.get("x", "")), float(t.get("y", "")), t.text or "") for t in root.iter(TEXT)
    ]
    assert len(labels) == len(points)
    for side in ("start", "end"):
        heights = sorted(y for anchor, _, y, _ in labels if anchor == side)
        assert all(lower - upper >= 7 for upper, lower in pairwise(heights))
    for anchor, x, y, words in labels:
        wide = width(words, 7)
        assert 7 <= y <= figure.height_pt
        assert (x >= wide) if anchor == "end" else (x + wide <= figure.width_pt)


def test_a_label_leads_to_its_point(small: Variant) -> None:
    figure = draw_zone(*placed(small, [(0, 0), (240, 140)]))
    spots = {g.get("data-item"): g for g in parsed(figure.svg) if g.get("data-item")}
    for group in spots.values():
        line, dot, _ = group
        assert line.get("d", "").endswith(f"L{dot.get('cx')} {dot.get('cy')}")
    assert "E0, E1" in figure.alt


def test_a_zone_without_size_is_drawn_all_the_same(small: Variant) -> None:
    zone, items = placed(small, [(1, 1)])
    assert draw_zone(replace(zone, width=0.0, height=0.0), items).height_pt > 0


def test_a_block_shows_every_slot(small: Variant) -> None:
    devices = [small.devices[name] for name in ("F9", "F10", "K7")]
    figure = draw_block(PackContext(small, {}), small.blocks["FB1"], devices)
    words = [t.text for t in parsed(figure.svg).iter(TEXT)]
    assert words[:4] == ["9", "F9", "25 A", "Rear screen"]
    assert words[4:8] == ["10", "F10", "5 A", "Side lamps"]
    assert words[8:] == ["R1", "K7", "relay", "Rear screen relay"]
    assert figure.alt == "Fuse block FB1 in slot order: slot 9 F9 25 A; slot 10 F10 5 A; slot R1 K7"


def test_hostile_words_do_not_break_a_drawing(hostile_pack: Pack) -> None:
    drawn = [figure for section in hostile_pack.sections for figure in section.figures]
    assert len(drawn) >= 4
    for figure in drawn:
        assert {element.tag.rpartition("}")[2] for element in parsed(figure.svg).iter()} <= {
            "svg", "g", "rect", "path", "circle", "text",
        }  # fmt: skip


def test_numbers_in_drawings() -> None:
    assert [svg.number(value) for value in (1.0, -0.001, 2.345, 100)] == ["1", "0", "2.35", "100"]
