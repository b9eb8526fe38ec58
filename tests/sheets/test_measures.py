"""What is measured on every sheet is nought, and the measures would tell if it were not."""

from __future__ import annotations

from pathlib import Path

import pytest

from renderers.sheets import draw_sheets
from renderers.sheets.labels import width
from renderers.sheets.measure import Measures, measure
from tests.chaos.variants import make_variant

from .conftest import SAMPLES, drawn, read


@pytest.mark.parametrize("name", SAMPLES)
def test_samples_are_clean(name: str) -> None:
    for sheet, figure in drawn(name).figures.items():
        measures = measure(figure.svg)
        assert measures.faults == (), sheet
        assert measures.smallest_text_pt >= 6.5, sheet


@pytest.mark.parametrize("seed", range(16))
def test_generated_variants_are_clean(seed: int, tmp_path: Path) -> None:
    _clean(seed, tmp_path)


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(16, 216))
def test_many_generated_variants_are_clean(seed: int, tmp_path: Path) -> None:
    _clean(seed, tmp_path)


def _clean(seed: int, tmp_path: Path) -> None:
    path = tmp_path / "v.loom"
    path.write_text(make_variant(seed, 20 + seed * 7 % 180))
    for sheet, figure in draw_sheets(read(path)).items():
        measures = measure(figure.svg)
        assert measures.clean, (sheet, measures)


@pytest.mark.parametrize("name", SAMPLES)
def test_every_figure_fits_a4_and_letter(name: str) -> None:
    # A4 is 595 by 842 points, Letter 612 by 792; margins of at least 28 points are left on both.
    for figure in drawn(name).figures.values():
        short, long = sorted((figure.width_pt, figure.height_pt))
        assert short <= 595 - 56
        assert long <= 792 - 56


FRAME = '<svg xmlns="http://www.w3.org/2000/svg" width="300pt" height="200pt" viewBox="0 0 300 200">{}</svg>'


def drawing(*groups: str) -> Measures:
    """Measures of a drawing made by hand."""
    return measure(FRAME.format("".join(groups)))


def wire(name: str, data: str) -> str:
    """A wire."""
    return f'<g class="wire" data-wire="{name}"><path d="{data}" stroke-width="3"/></g>'


def item(*shapes: str) -> str:
    """An item."""
    return f'<g class="device" data-item="K1">{"".join(shapes)}</g>'


RECT = '<rect x="100" y="50" width="60" height="40"/>'


def test_a_wire_through_a_box_is_counted() -> None:
    assert drawing(item(RECT), wire("1A", "M130 0L130 200")).wires_through_boxes == 1
    assert drawing(item(RECT), wire("1A", "M130 0L130 50")).wires_through_boxes == 0
    assert drawing(item(RECT), wire("1A", "M130 0L130 70")).wires_through_boxes == 1, "an end deep inside"


def test_boxes_that_overlap_are_counted() -> None:
    other = '<rect x="150" y="60" width="60" height="40"/>'
    assert drawing(item(RECT), item(other)).boxes_overlapping == 1
    assert drawing(item(RECT, other)).boxes_overlapping == 0, "of one item"


def test_text_on_text_and_on_lines_is_counted() -> None:
    text = '<text x="20" y="40" font-size="7">lamp feed</text>'
    assert drawing(item(text), item(text.replace("40", "43"))).text_on_text == 1
    assert drawing(item(text), item(text.replace("40", "60"))).text_on_text == 0
    assert drawing(item(text), wire("1A", "M0 38L100 38")).text_on_line == 1
    assert drawing(item(text), wire("1A", "M0 50L100 50")).text_on_line == 0
    assert drawing(item(text), item('<circle cx="30" cy="38" r="3"/>')).text_on_line > 0


def test_texts_side_by_side_keep_apart() -> None:
    text = '<text x="20" y="40" font-size="7">lamp feed</text>'
    wide = width("lamp feed", 7)
    beside = '<text x="{}" y="42" font-size="7">block</text>'
    assert drawing(item(text), item(beside.format(20 + wide + 3.5))).texts_too_near == 1
    assert drawing(item(text), item(beside.format(20 + wide + 4.5))).texts_too_near == 0
    assert drawing(item(text, beside.format(20 + wide + 3))).texts_too_near == 0, "of one item"
    assert not drawing(item(text), item(beside.format(20 + wide + 3.5))).clean


def test_shared_segments_crossings_and_bends_are_counted() -> None:
    one, other = wire("1A", "M10 10L100 10"), wire("2A", "M50 10L150 10")
    assert drawing(one, other).shared_segments == 1
    assert drawing(one, wire("2A", "M50 12L150 12")).wires_touching == 1
    assert drawing(one, wire("2A", "M50 14L150 14")).wires_touching == 0
    cross = drawing(one, wire("2A", "M50 0L50 20L70 20L70 30"))
    assert (cross.crossings, cross.bends) == (1, 2)


def test_the_smallest_text_is_as_printed() -> None:
    text = '<text x="20" y="40" font-size="7">a</text>'
    assert drawing(item(text)).smallest_text_pt == 7
    assert measure(FRAME.replace('"300pt"', '"150pt"').format(item(text))).smallest_text_pt == 3.5
