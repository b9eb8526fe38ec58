"""Fusible links against the trade's rule of four gauge numbers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compiler.standards.links import expected_link, link_fit, link_fits, link_rule
from compiler.standards.sizes import nominal_mm2, read_size

# Common practice, read: link -> wire protected, gauge numbers.
PAIRS = [("18", "14"), ("16", "12"), ("14", "10"), ("12", "8"), ("10", "6")]
# Metric twins: sizes read, pairs worked out.
TWINS = [("0.8", "2.0"), ("1.0", "3.0"), ("2.0", "5.0"), ("3.0", "8.0")]


@pytest.mark.parametrize("system", ["AWG", "SAE"])
@pytest.mark.parametrize(("link", "wire"), PAIRS)
def test_four_gauge_numbers_smaller(link: str, wire: str, system: str) -> None:
    """Common practice: 18 protects 14, 16 protects 12, and so on."""
    assert link_fits(read_size(link, system), read_size(wire, system))
    assert expected_link(read_size(wire, system)) == f"{link} {system}"


@pytest.mark.parametrize(("link", "wire"), TWINS)
def test_metric_twins(link: str, wire: str) -> None:
    """Common practice by metric name of the SAE sizes."""
    assert link_fits(read_size(link, "mm2"), read_size(wire, "mm2"))
    assert expected_link(read_size(wire, "mm2")) == f"{float(link):g} mm2"


def test_no_neighbouring_twin_fits() -> None:
    series = ["0.8", "1.0", "2.0", "3.0", "5.0", "8.0"]
    found = {
        (link, wire)
        for link in series
        for wire in series
        if link_fits(read_size(link, "mm2"), read_size(wire, "mm2"))
    }
    assert found == set(TWINS)


@pytest.mark.parametrize(
    ("link", "wire", "fit"),
    [
        ("16", "14", "too thick"),
        ("14", "14", "too thick"),
        ("20", "14", "too thin"),
        ("10", "14", "too thick"),
    ],
)
def test_links_that_do_not_fit(link: str, wire: str, fit: str) -> None:
    assert link_fit(read_size(link, "AWG"), read_size(wire, "AWG")) == fit
    assert link_fits(read_size(link, "AWG"), read_size(wire, "AWG")) is False


def test_metric_links_that_do_not_fit() -> None:
    assert link_fit(read_size("1.5", "mm2"), read_size("2.5", "mm2")) == "too thick"
    assert link_fit(read_size("0.5", "mm2"), read_size("6", "mm2")) == "too thin"


@pytest.mark.parametrize(
    ("link", "wire"),
    [(("0.8", "mm2"), ("14", "SAE")), (("18", "AWG"), ("14", "SAE")), (("18", "AWG"), ("2", "mm2"))],
)
def test_different_systems_are_not_compared(link: tuple[str, str], wire: tuple[str, str]) -> None:
    assert link_fits(read_size(*link), read_size(*wire)) is None


def test_lengths_and_repair_notes() -> None:
    """About 6 in, not over 9 in; same gauge and length, never ordinary wire: grade B."""
    rule = link_rule()
    assert (rule.steps, rule.grade) == (4, "common practice")
    assert rule.usual_length_m == pytest.approx(0.1524)
    assert rule.longest_m == pytest.approx(0.2286)
    assert any("never by ordinary wire" in note for note in rule.repair)


def test_large_wires() -> None:
    assert expected_link(read_size("4/0", "AWG")) == "1 AWG"
    assert expected_link(read_size("1/0", "AWG")) == "4 AWG"
    assert expected_link(read_size("1000", "mm2")) == "400 mm2"


@given(st.sampled_from([str(size) for size in nominal_mm2() if size >= 0.22]))
def test_the_expected_link_fits(wire_text: str) -> None:
    wire = read_size(wire_text.removesuffix(".0"), "mm2")
    number, unit = expected_link(wire).split()
    assert link_fits(read_size(number, unit), wire)


@given(st.integers(-3, 36))
def test_the_expected_gauge_fits(gauge: int) -> None:
    wire = read_size(str(gauge) if gauge > 0 else f"{1 - gauge}/0", "AWG")
    number, unit = expected_link(wire).split()
    assert link_fits(read_size(number, unit), wire)
