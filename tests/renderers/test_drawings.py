"""Drawings of fuse blocks and zones: whole, and no label on another."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations, pairwise
from math import hypot
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compiler.model.items import Located, Place, Splice, Zone
from compiler.model.variant import Variant
from grammar.source import Source, Span
from renderers.context import PackContext
from renderers.document import Pack
from renderers.drawings import svg
from renderers.drawings import zone as drawn_zone
from renderers.drawings.callouts import parted
from renderers.drawings.fuse_block import draw_block
from renderers.drawings.zone import Given, draw_zone
from renderers.sheets.labels import width
from renderers.store import Store
from tests.published import sample_pack

TEXT, PATH, GROUP = (f"{{http://www.w3.org/2000/svg}}{name}" for name in ("text", "path", "g"))


def parsed(markup: str) -> ET.Element:
    return ET.fromstring(markup)


coordinate = st.floats(-50, 400, allow_nan=False)
# Near each other and in rows, as items on a harness are.
crowd = st.tuples(st.integers(0, 6).map(lambda n: 20.0 * n), st.integers(0, 40).map(lambda n: 2.5 * n))


def zone_of(points: list[tuple[float, float]]) -> tuple[Zone, list[Located]]:
    span = Span(Source("t", ""), 0, 0)
    common = ("cab", "Cab", span, span, (), "")
    items: list[Located] = [
        Splice(f"SP{n}", "Lamp feed", span, span, (), "", Place("cab", point, "", None, None), harness="")
        for n, point in enumerate(points)
    ]
    return Zone(*common, width=240.0, height=140.0, drawing=""), items


def lines_of(root: ET.Element) -> list[list[tuple[float, float]]]:
    """Corners of every call-out's line: beside the label, at the bend, at the point."""
    found = []
    for path in root.iter(PATH):
        if path.get("class") == "call-out":
            match = re.fullmatch(r"M(\S+) (\S+)H(\S+)L(\S+) (\S+)", path.get("d", ""))
            assert match
            x, y, bend, to_x, to_y = map(float, match.groups())
            found.append([(x, y), (bend, y), (to_x, to_y)])
    return found


def cross(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]) -> bool:
    """Whether two stretches cross, one clearly on both sides of the other; coordinates are rounded to hundredths."""

    def turn(p: tuple[float, float], q: tuple[float, float], r: tuple[float, float]) -> float:
        across = (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
        distance = across / max(hypot(q[0] - p[0], q[1] - p[1]), 1e-9)
        return distance if abs(distance) > 0.03 else 0.0

    return turn(a, b, c) * turn(a, b, d) < 0 and turn(c, d, a) * turn(c, d, b) < 0


@given(points=st.lists(st.one_of(st.tuples(coordinate, coordinate), crowd), min_size=1, max_size=50))
def test_call_outs_never_overlap_or_cross_and_stay_on_the_drawing(points: list[tuple[float, float]]) -> None:
    zone, items = zone_of(points)
    (figure,) = draw_zone(zone, items)
    root = parsed(figure.svg)
    labels = [
        (t.get("text-anchor"), float(t.get("x", "")), float(t.get("y", "")), t.text or "")
        for t in root.iter(TEXT)
        if t.get("text-anchor")
    ]
    assert len(labels) == len(points)
    for side in ("start", "end"):
        heights = sorted(y for anchor, _, y, _ in labels if anchor == side)
        assert all(lower - upper >= 7 for upper, lower in pairwise(heights))
    for anchor, x, y, words in labels:
        wide = width(words, 7)
        assert 7 <= y <= figure.height_pt
        assert (x >= wide) if anchor == "end" else (x + wide <= figure.width_pt)
    lines = lines_of(root)
    assert len(lines) == len(points)
    stretches = [(place, *pair) for place, line in enumerate(lines) for pair in pairwise(line)]
    for (one, a, b), (other, c, d) in combinations(stretches, 2):
        assert one == other or not cross(a, b, c, d), (lines[one], lines[other])
    # No line touches a label: labels lie beyond the outer ends of the lines.
    for anchor, x, _, _ in labels:
        ends = [line[0][0] for line in lines if (line[0][0] > line[1][0]) is (anchor == "start")]
        assert all(x >= end if anchor == "start" else x <= end for end in ends)


def runs_over(root: ET.Element) -> list[tuple[str, str]]:
    """Pairs (thing, other thing) where the line to the one runs over the mark of the other: over its middle, nearly."""
    marks = marks_of(root)
    found = []
    for start, bend, end in lines_of(root):
        own = min(marks, key=lambda name: hypot(marks[name][0] - end[0], marks[name][1] - end[1]))
        for name, mark in marks.items():
            apart = min(distance(mark, *pair) for pair in ((start, bend), (bend, end)))
            if name != own and apart < 2.5 and hypot(mark[0] - end[0], mark[1] - end[1]) > 2.6:
                found.append((own, name))
    return found


def marks_of(root: ET.Element) -> dict[str, tuple[float, float]]:
    found = {}
    for group in root.iter(GROUP):
        path = group.find(PATH)
        if group.get("data-item") and path is not None:
            x, y = map(float, re.findall(r"[-.0-9]+", path.get("transform", "")))
            found[str(group.get("data-item"))] = x, y
    return found


def distance(spot: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    """From a spot to a stretch."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    part = ((spot[0] - a[0]) * dx + (spot[1] - a[1]) * dy) / max(dx * dx + dy * dy, 1e-9)
    part = min(max(part, 0.0), 1.0)
    return hypot(spot[0] - a[0] - part * dx, spot[1] - a[1] - part * dy)


# Points on a grid wide enough that a line can pass between any two.
roomy = st.lists(st.tuples(st.integers(1, 11), st.integers(1, 6)), min_size=1, max_size=18, unique=True)


@given(cells=roomy)
def test_no_line_runs_over_the_mark_of_another_where_there_is_room(cells: list[tuple[int, int]]) -> None:
    # Rows do not lie below each other exactly, as they never do in a vehicle.
    zone, items = zone_of([(20.0 * x + 3.0 * (y % 3), 20.0 * y + 2.0 * (x % 4)) for x, y in cells])
    (figure,) = draw_zone(zone, items)
    assert runs_over(parsed(figure.svg)) == []


def test_few_lines_of_the_demo_run_over_a_mark() -> None:
    figures = sample_pack("S4").section("locations").figures
    over = {figure.id: len(runs_over(parsed(figure.svg))) for figure in figures}
    assert sum(len(lines_of(parsed(figure.svg))) for figure in figures) > 230
    assert sum(over.values()) <= 8
    # What is left lies among the relays, splices and modules behind the glove box and the dash.
    assert {name for name, count in over.items() if count > 1} <= {"figure-zone-cab", "figure-zone-dash"}


@given(points=st.lists(st.one_of(st.tuples(coordinate, coordinate), crowd), min_size=1, max_size=40))
def test_marks_that_would_lie_on_each_other_are_parted(points: list[tuple[float, float]]) -> None:
    size = 240.0, 140.0
    inside = [(min(max(x, 0.0), size[0]), min(max(y, 0.0), size[1])) for x, y in points]
    done = parted(inside, size, 5.0)
    assert all(0 <= x <= size[0] and 0 <= y <= size[1] for x, y in done)
    lonely = [
        all(hypot(x - a, y - b) > 25 for j, (a, b) in enumerate(inside) if j != i) for i, (x, y) in enumerate(inside)
    ]
    assert all(was == now for was, now, alone in zip(inside, done, lonely, strict=True) if alone)
    before = sum(hypot(a[0] - b[0], a[1] - b[1]) < 4.9 for a, b in combinations(inside, 2))
    after = sum(hypot(a[0] - b[0], a[1] - b[1]) < 4.9 for a, b in combinations(done, 2))
    assert after <= before


def test_two_marks_at_one_place_stand_side_by_side() -> None:
    assert parted([(50.0, 50.0), (50.0, 50.0)], (100.0, 100.0), 5.0) == [(47.5, 50.0), (52.5, 50.0)]
    assert parted([(0.0, 0.0), (20.0, 0.0)], (100.0, 100.0), 5.0) == [(0.0, 0.0), (20.0, 0.0)]


def test_a_line_leads_from_each_label_to_its_point() -> None:
    points = [(10.0, 120.0), (20.0, 10.0), (230.0, 60.0), (120.0, 60.0), (130.0, 10.0)]
    zone, items = zone_of(points)
    (figure,) = draw_zone(zone, items)
    root = parsed(figure.svg)
    marks = marks_of(root)
    labels = {
        g.get("data-item"): (words.get("text-anchor"), float(words.get("y", "")))
        for g in root.iter(GROUP)
        if g.get("data-item") and (words := g.find(TEXT)) is not None
    }
    for line in lines_of(root):
        (start, _, end) = line
        item = next(name for name, at in marks.items() if hypot(at[0] - end[0], at[1] - end[1]) < 0.05)
        anchor, y = labels[item]
        assert abs(y - start[1] - 7 * 0.35) < 0.05
        assert (anchor == "start") is (start[0] > line[1][0])
    assert "SP0, SP1, SP2, SP3, SP4" in figure.alt


def test_each_sort_of_thing_has_a_mark_of_its_own(small: Variant) -> None:
    place = Place("cab", (10.0, 10.0), "", None, None)
    items = [
        replace(item, place=place)
        for item in (small.devices["E3"], small.connectors["C12"], small.splices["SP1"], small.grounds["G1"])
    ]
    (figure,) = draw_zone(small.zones["cab"], items)
    root = parsed(figure.svg)
    marks = [path.get("d") for g in root.iter(GROUP) if g.get("data-item") for path in g.findall(PATH)]
    assert len(set(marks)) == 4
    words = [t.text for t in root.iter(TEXT) if not t.get("text-anchor")]
    assert words == ["component or fuse block", "connector", "splice", "ground"]


def test_too_many_things_for_one_figure_are_parted_by_sort() -> None:
    zone, items = zone_of([(float(n % 240), float(n % 140)) for n in range(150)])
    figures = draw_zone(zone, items)
    assert [figure.id for figure in figures] == ["figure-zone-cab", "figure-zone-cab-1", "figure-zone-cab-2"]
    # What a page of Letter gives a drawing: nothing is scaled down, no text gets smaller than it is.
    assert all(figure.width_pt <= 511 and figure.height_pt <= 424 for figure in figures)
    assert sum(len(lines_of(parsed(figure.svg))) for figure in figures) == 150


def test_call_outs_that_are_kept_are_those_that_would_be_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    zone, items = zone_of([(20.0 * n % 237, 31.0 * n % 139) for n in range(20)])
    made = draw_zone(zone, items)
    given = Given(store=Store(tmp_path))
    assert draw_zone(zone, items, given) == made
    with monkeypatch.context() as within:
        within.setattr(drawn_zone, "call_outs", None)
        assert draw_zone(zone, items, given) == made
    # What cannot be read, or is that of a point that has moved, is made anew.
    (kept,) = tmp_path.glob("??/*")
    given.store.put(kept.parent.name + kept.name, b'[[[0,"above",1.0,1.0]],9.0]')
    assert draw_zone(zone, items, given) == made
    moved = [*items[:-1], replace(items[-1], place=Place("cab", (3.0, 3.0), "", None, None))]
    assert draw_zone(zone, moved, given) == draw_zone(zone, moved) != made


def test_a_zone_without_size_is_drawn_all_the_same() -> None:
    zone, items = zone_of([(1, 1)])
    assert draw_zone(replace(zone, width=0.0, height=0.0), items)[0].height_pt > 0


def test_a_block_shows_every_slot(small: Variant) -> None:
    devices = [small.devices[name] for name in ("F9", "F10", "K7")]
    (figure,) = draw_block(PackContext(small, {}), small.blocks["FB1"], devices)
    words = [t.text for t in parsed(figure.svg).iter(TEXT)]
    assert words[:4] == ["9", "F9", "25 A", "Rear screen"]
    assert words[4:8] == ["10", "F10", "5 A", "Side lamps"]
    assert words[8:] == ["R1", "K7", "relay", "Rear screen relay"]
    assert figure.alt == "Fuse block FB1 in slot order: slot 9 F9 25 A; slot 10 F10 5 A; slot R1 K7"


def test_a_block_too_large_for_a_page_is_drawn_in_parts(small: Variant) -> None:
    figures = draw_block(PackContext(small, {}), small.blocks["FB1"], [small.devices["F9"]] * 60)
    assert [figure.id for figure in figures] == ["block-item-FB1", "block-item-FB1-1"]
    assert sum(figure.svg.count("data-item") for figure in figures) == 60
    assert all(figure.width_pt <= 511 and figure.height_pt <= 424 for figure in figures)


def test_hostile_words_do_not_break_a_drawing(hostile_pack: Pack) -> None:
    drawn = [figure for section in hostile_pack.sections for figure in section.figures]
    assert len(drawn) >= 4
    for figure in drawn:
        assert {element.tag.rpartition("}")[2] for element in parsed(figure.svg).iter()} <= {
            "svg", "g", "rect", "path", "circle", "text",
        }  # fmt: skip


def test_numbers_in_drawings() -> None:
    assert [svg.number(value) for value in (1.0, -0.001, 2.345, 100)] == ["1", "0", "2.35", "100"]
