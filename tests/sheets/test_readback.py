"""The drawing is read back: from geometry and words alone to the wires, and they are the model's."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from compiler.model.variant import Variant
from renderers.sheets import SheetFigure, draw_sheets
from renderers.sheets.measure import measure
from tests.chaos.variants import make_variant

from .conftest import SAMPLES, drawn, read
from .netlist import differences


@pytest.mark.parametrize("name", SAMPLES)
def test_a_sample_reads_back(name: str) -> None:
    variant, figures = drawn(name)
    assert list(differences(variant, figures)) == []


@pytest.mark.parametrize("seed", range(16))
def test_a_generated_variant_reads_back(seed: int, tmp_path: Path) -> None:
    _reads_back(seed, tmp_path)


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(16, 216))
def test_many_generated_variants_read_back(seed: int, tmp_path: Path) -> None:
    _reads_back(seed, tmp_path)


def _reads_back(seed: int, tmp_path: Path) -> None:
    path = tmp_path / "v.loom"
    path.write_text(make_variant(seed, 20 + seed * 7 % 180))
    variant = read(path)
    assert list(differences(variant, draw_sheets(variant))) == []


@pytest.mark.parametrize("name", ["tour", "S4"])
def test_with_the_system_dot_it_is_clean_and_reads_back_too(name: str) -> None:
    program = shutil.which("dot")
    assert program, "install graphviz to run the tests"
    variant = drawn(name).variant
    figures = draw_sheets(variant, program)
    assert list(differences(variant, figures)) == []
    assert [sheet for sheet, figure in figures.items() if not measure(figure.svg).clean] == []


def spoilt(figures: Mapping[str, SheetFigure], sheet: str, change: Callable[[str], str]) -> dict[str, SheetFigure]:
    """The figures with one drawing changed."""
    svg = change(figures[sheet].svg)
    assert svg != figures[sheet].svg
    return {**figures, sheet: replace(figures[sheet], svg=svg)}


def found(variant: Variant, figures: Mapping[str, SheetFigure]) -> str:
    """All differences as one text."""
    return "\n".join(differences(variant, figures))


def test_a_wire_that_misses_its_terminal_is_seen() -> None:
    variant, figures = drawn("tour")
    # Wire 10E ends on E1.1: its line is cut short by ten points, its id stays.
    start = figures["2"].svg.index('data-wire="10E"')
    path = figures["2"].svg[start:].split(' d="', 1)[1].split('"', 1)[0]
    head, _, y = path.rpartition(" ")
    told = found(variant, spoilt(figures, "2", lambda svg: svg.replace(path, f"{head} {float(y) - 10:g}")))
    assert "touches nothing with a name" in told
    assert "wire 10E is shown nowhere" in told


def test_two_terminal_names_changed_about_are_seen() -> None:
    variant, figures = drawn("tour")
    told = found(
        variant,
        spoilt(figures, "2", lambda s: s.replace(">56a<", ">~<").replace(">56b<", ">56a<").replace(">~<", ">56b<")),
    )
    assert "10J is drawn from" in told
    assert "10H is drawn from" in told


def test_a_wrong_label_is_seen() -> None:
    variant, figures = drawn("tour")
    assert "shows a wire '99X'" in found(variant, spoilt(figures, "2", lambda s: s.replace(">10E<", ">99X<")))
    assert "the label of" in found(variant, spoilt(figures, "2", lambda s: s.replace(">YE/BK<", ">YE/BN<")))


def test_an_arrow_to_the_wrong_sheet_is_seen() -> None:
    variant, figures = drawn("tour")
    told = found(variant, spoilt(figures, "2", lambda s: s.replace(">sheet 1<", ">sheet 3<")))
    assert "names sheet 3, which does not show" in told


def test_a_wire_left_out_is_seen() -> None:
    variant, figures = drawn("tour")
    figures = {name: figure for name, figure in figures.items() if name != "5"}
    assert "wire 40A is shown nowhere" in found(variant, figures)
