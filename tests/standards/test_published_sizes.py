"""Conductor sizes against ASTM B258 and the SAE table."""

from __future__ import annotations

import math
import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compiler.standards.sizes import (
    Size,
    gauge_number,
    nominal_mm2,
    read_size,
    sae_metric_names,
    steps_between,
)

MM2_PER_CMIL = 5.067075e-4

# AWG: diameter in inches and circular mils as printed in wire tables, grade A.
AWG_PRINTED = [
    ("4/0", 0.4600, 211_600),
    ("2/0", 0.3648, 133_100),
    ("1/0", 0.3249, 105_500),
    ("2", 0.2576, 66_370),
    ("4", 0.2043, 41_740),
    ("6", 0.1620, 26_250),
    ("8", 0.1285, 16_510),
    ("10", 0.1019, 10_380),
    ("12", 0.08081, 6_530),
    ("14", 0.06408, 4_107),
    ("16", 0.05082, 2_583),
    ("18", 0.04030, 1_624),
    ("20", 0.03196, 1_022),
    ("22", 0.02535, 642.5),
    ("24", 0.02010, 404.0),
]

# SAE minimum areas in circular mils and the usual name in mm2, grade A (names of 4 and 2 from memory, C).
SAE_PRINTED = [
    ("18", 1_537, 0.8),
    ("16", 2_336, 1.0),
    ("14", 3_702, 2.0),
    ("12", 5_833, 3.0),
    ("10", 9_343, 5.0),
    ("8", 14_810, 8.0),
    ("6", 24_538, 13),
    ("4", 37_360, 19),
    ("2", 62_450, 32),
]


def four_figures(value: float) -> float:
    return float(f"{value:.4g}")


@pytest.mark.parametrize(("name", "inches", "cmil"), AWG_PRINTED)
def test_awg_to_the_printed_figures(name: str, inches: float, cmil: float) -> None:
    """Printed wire tables, grade A."""
    area = read_size(name, "AWG").area_mm2
    assert four_figures(math.sqrt(area * 4 / math.pi) / 25.4) == inches
    assert area / MM2_PER_CMIL == pytest.approx(cmil, rel=5e-4)  # printed from the rounded diameter


@pytest.mark.parametrize(
    ("name", "mm2"), [("4/0", 107.22), ("10", 5.261), ("14", 2.081), ("18", 0.8230), ("24", 0.2047)]
)
def test_awg_areas_in_mm2(name: str, mm2: float) -> None:
    """ASTM B258 formula, from memory (C), worked out."""
    assert read_size(name, "AWG").area_mm2 == pytest.approx(mm2, rel=2e-4)


@given(st.integers(-3, 37))
def test_three_gauges_double_the_area(gauge: int) -> None:
    """A property of the AWG series, 92^(6/39) = 2.005; read in wire tables, grade A."""

    def area(number: int) -> float:
        return read_size(str(number) if number > 0 else f"{1 - number}/0", "AWG").area_mm2

    assert area(gauge) / area(gauge + 3) == pytest.approx(2, rel=0.003)


@pytest.mark.parametrize(("number", "cmil", "metric"), SAE_PRINTED)
def test_sae_areas(number: str, cmil: float, metric: float) -> None:
    """SAE J1128 minimum areas, grade A."""
    size = read_size(number, "SAE")
    assert size.area_mm2 == pytest.approx(cmil * MM2_PER_CMIL)
    assert sae_metric_names()[number] == metric


@pytest.mark.parametrize(("number", "metric"), [("24", 0.22), ("22", 0.35), ("20", 0.5)])
def test_small_sae_sizes_go_by_their_metric_name(number: str, metric: float) -> None:
    """From memory (C)."""
    assert read_size(number, "SAE").area_mm2 == metric == sae_metric_names()[number]


@pytest.mark.parametrize("number", [row[0] for row in SAE_PRINTED])
def test_sae_is_four_to_ten_per_cent_below_awg(number: str) -> None:
    """Trap: SAE 18 is 1 537 cmil, AWG 18 is 1 624 (grade A)."""
    sae, awg = read_size(number, "SAE"), read_size(number, "AWG")
    assert 0.89 < sae.area_mm2 / awg.area_mm2 < 0.965
    assert sae != awg
    assert steps_between(sae, awg) is None


def test_three_sizes_that_look_alike_are_three_areas() -> None:
    """Trap: 0.8 mm2 is the name of SAE 18, 0.75 mm2 is neither that nor AWG 18 (grade A)."""
    areas = [
        size.area_mm2 for size in (read_size("0.75", "mm2"), read_size("18", "SAE"), read_size("18", "AWG"))
    ]
    assert areas == sorted(areas)
    assert [round(area, 3) for area in areas] == [0.75, 0.779, 0.823]
    assert sae_metric_names()["18"] == 0.8
    assert 0.8 not in nominal_mm2()


@pytest.mark.parametrize(
    ("text", "unit", "shown"),
    [
        ("2.5", "mm2", "2.5 mm2"),
        ("2.50", "mm²", "2.5 mm2"),
        ("1.0", "mm2", "1 mm2"),
        ("010", "mm2", "10 mm2"),
        ("100", "mm2", "100 mm2"),
        ("14", "AWG", "14 AWG"),
        ("0", "AWG", "1/0 AWG"),
        ("00", "AWG", "2/0 AWG"),
        ("2/0", "AWG", "2/0 AWG"),
        ("0000", "AWG", "4/0 AWG"),
        ("16", "SAE", "16 SAE"),
    ],
)
def test_sizes_as_written(text: str, unit: str, shown: str) -> None:
    assert str(read_size(text, unit)) == shown


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("0", "mm2"),
        ("-1", "mm2"),
        ("nan", "mm2"),
        ("inf", "mm2"),
        ("1e3", "mm2"),
        ("1001", "mm2"),
        ("1/2", "mm2"),
        ("5/0", "AWG"),
        ("00000", "AWG"),
        ("41", "AWG"),
        ("014", "AWG"),
        ("-2", "AWG"),
        ("14.5", "AWG"),
        ("15", "SAE"),
        ("0", "SAE"),
        ("2", "mm"),
    ],
)
def test_sizes_that_do_not_exist(text: str, unit: str) -> None:
    with pytest.raises(ValueError, match="is not a"):
        read_size(text, unit)


def test_gauge_numbers_and_steps() -> None:
    def awg(text: str) -> Size:
        return read_size(text, "AWG")

    assert [gauge_number(awg(text)) for text in ("14", "1/0", "2/0", "4/0")] == [14, 0, -1, -3]
    assert gauge_number(read_size("16", "SAE")) == 16
    assert gauge_number(read_size("2.5", "mm2")) is None
    assert steps_between(awg("14"), awg("18")) == 4
    assert steps_between(awg("18"), awg("14")) == -4
    assert steps_between(awg("1"), awg("3/0")) == -3
    assert steps_between(read_size("1", "mm2"), read_size("2", "mm2")) is None
    assert steps_between(awg("14"), read_size("14", "SAE")) is None


def test_the_metric_series_rises() -> None:
    """Vehicle cable: 0.35 from memory (C), the sizes of IEC 60228 from 0.5 on read (A)."""
    series = nominal_mm2()
    assert list(series) == sorted(set(series))
    assert {0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120} <= set(series)


@given(st.integers(1, 40))
def test_a_higher_gauge_number_is_a_thinner_wire(number: int) -> None:
    thinner = read_size(str(number), "AWG").area_mm2
    thicker = read_size(str(number - 1) if number > 1 else "1/0", "AWG").area_mm2
    assert thinner < thicker


def test_sizes_travel_between_processes() -> None:
    size = read_size("2/0", "AWG")
    assert pickle.loads(pickle.dumps(size)) == size
