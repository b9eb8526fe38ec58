"""Tracers that are about as light as their base have an edge that is seen without colour."""

from __future__ import annotations

from itertools import permutations

import pytest

from compiler.standards.colours import builtin_table
from compiler.standards.swatches import contrast
from renderers.edges import DARK, LEAST_CONTRAST, LIGHT, edge_of
from renderers.tables import Swatch
from tests.sheets.conftest import drawn

RGB = {code: colour.rgb for code, colour in builtin_table("iec-60757").colours.items()}


def test_each_tracer_or_its_edge_stands_out_from_the_base() -> None:
    for base, tracer in permutations(RGB.values(), 2):
        plain, edge = contrast(base, tracer), edge_of(base, tracer)
        assert (edge == "") == (plain >= LEAST_CONTRAST)
        if edge:
            assert min(contrast(edge, base), contrast(edge, tracer)) > plain


@pytest.mark.parametrize(
    ("code", "edge"), [("RD/GN", LIGHT), ("GN/BU", LIGHT), ("GY/PK", DARK), ("WH/YE", DARK), ("BK/WH", ""), ("RD/YE", "")]
)
def test_the_edge_is_light_on_dark_and_dark_on_light(code: str, edge: str) -> None:
    base, tracer = (RGB[part] for part in code.split("/"))
    assert edge_of(base, tracer) == edge
    assert Swatch(base, (tracer,)).stripes == ((tracer, edge),)


def test_a_wire_is_drawn_with_the_edges_of_its_tracer() -> None:
    svg = drawn("S4").figures["25"].svg
    group = svg[svg.index('data-wire="94A"') :]
    group = group[: group.index("</g>")]
    assert f'stroke="{LIGHT}" stroke-width="1.4" stroke-dasharray="5.5 3.5"' in group
    assert f'stroke="{RGB["BU"]}" stroke-width="1.1" stroke-dasharray="5 4"' in group
    assert group.index(LIGHT) < group.index(RGB["BU"])
