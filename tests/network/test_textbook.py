"""Networks with published answers, written in the language and matched to the printed digits.

Source: T. R. Kuphaldt, "Lessons In Electric Circuits", volume I DC (Design Science License); grade A. N10: US Army
subcourse IT0334 (public); grade A. Values marked (calc) are worked out from the printed ones.
"""

from __future__ import annotations

import pytest

from compiler.model.items import Point
from compiler.network.ohms import ohms
from compiler.network.world import standing_hours
from tests.network.circuits import Bench, resistors


def printed(value: float, digits: int) -> float:
    """A value with as many significant digits as the book prints."""
    return float(f"{value:.{digits}g}")


def test_n1_three_resistors_in_series() -> None:
    bench = Bench(
        resistors(
            "",
            BT1="1 0 battery 9 V 0 ohm",
            R1="1 2 resistor 3 kohm",
            R2="2 3 resistor 10 kohm",
            R3="3 0 resistor 5 kohm",
        )
    )
    assert printed(bench.drawn, 3) == 500e-6
    assert [printed(bench.across(f"R{i}"), 2) for i in (1, 2, 3)] == [1.5, 5.0, 2.5]


def test_n2_three_resistors_in_parallel() -> None:
    bench = Bench(
        resistors(
            "",
            BT1="1 0 battery 9 V 0 ohm",
            R1="1 0 resistor 10 kohm",
            R2="1 0 resistor 2 kohm",
            R3="1 0 resistor 1 kohm",
        )
    )
    assert [printed(bench.amperes(f"R{i}"), 2) for i in (1, 2, 3)] == [0.9e-3, 4.5e-3, 9.0e-3]
    assert printed(bench.drawn, 3) == 14.4e-3
    assert printed(ohms(bench.network, Point("N1", ""), Point("N0", "")), 3) == 625  # (calc)


def test_n3_series_parallel() -> None:
    bench = Bench(
        resistors(
            "",
            BT1="1 0 battery 24 V 0 ohm",
            R1="1 2 resistor 100 ohm",
            R2="1 2 resistor 250 ohm",
            R3="2 0 resistor 350 ohm",
            R4="2 0 resistor 200 ohm",
        )
    )
    between = [ohms(bench.network, Point(f"N{a}", ""), Point(f"N{b}", "")) for a, b in ((1, 2), (2, 0), (1, 0))]
    assert [printed(value, 5) for value in between] == [71.429, 127.27, 198.70]
    assert printed(bench.drawn, 5) == 0.12078
    assert printed(bench.across("R1"), 4) == 8.627
    assert printed(bench.across("R3"), 4) == 15.37
    assert [printed(bench.amperes(f"R{i}") * 1000, 4) for i in (1, 2, 3, 4)] == [86.27, 34.51, 43.92, 76.86]


def test_n4_two_sources_one_of_them_charged() -> None:
    bench = Bench(resistors("", BT1="1 0 battery 28 V 4 ohm", BT2="1 0 battery 7 V 1 ohm", R1="1 0 resistor 2 ohm"))
    assert printed(bench.across("R1"), 4) == 8
    assert printed(-bench.amperes("BT1"), 4) == 5
    assert printed(bench.amperes("R1"), 4) == 4
    assert printed(bench.amperes("BT2"), 4) == 1


def test_n4_thevenin_and_norton_equivalents() -> None:
    sources = {"BT1": "1 0 battery 28 V 4 ohm", "BT2": "1 0 battery 7 V 1 ohm"}
    opened = Bench(resistors("", **sources, R1="1 0 resistor 1000000 kohm"))
    shorted = Bench(resistors("", **sources, R1="1 0 resistor 0.000001 ohm"))
    assert printed(opened.across("R1"), 4) == 11.2
    assert printed(shorted.amperes("R1"), 4) == 14
    assert printed(opened.across("R1") / shorted.amperes("R1"), 4) == 0.8


def test_n5_unbalanced_bridge() -> None:
    bench = Bench(
        resistors(
            "",
            BT1="1 0 battery 24 V 0 ohm",
            R1="1 2 resistor 150 ohm",
            R2="1 3 resistor 50 ohm",
            R3="3 2 resistor 100 ohm",
            R4="2 0 resistor 300 ohm",
            R5="3 0 resistor 250 ohm",
        )
    )
    assert printed(bench.volts("N2") or 0, 5) == 17.655
    assert printed(bench.volts("N3") or 0, 5) == 19.310
    assert printed(bench.drawn * 1000, 6) == 136.092
    currents = [printed(bench.amperes(f"R{i}") * 1000, 5) for i in (1, 2, 3, 4, 5)]
    assert currents == [42.299, 93.793, 16.552, 58.851, 77.241]
    assert [printed(bench.across(f"R{i}"), 4) for i in (1, 2, 3)] == [6.345, 4.690, 1.655]


def test_n6_node_voltages_with_a_source_the_other_way_round() -> None:
    bench = Bench(
        resistors(
            "",
            BT1="1 0 battery 10 V 2 ohm",
            R1="1 0 resistor 4 ohm",
            R2="1 2 resistor 2.5 ohm",
            R3="2 0 resistor 5 ohm",
            BT2="0 2 battery 4 V 1 ohm",
        )
    )
    # Readings are against the first battery's negative post, which is the book's node 0.
    assert bench.volts("N1") == pytest.approx(3.809524, abs=5e-6)
    assert bench.volts("N2") == pytest.approx(-1.547619, abs=5e-6)


@pytest.mark.parametrize(
    ("inside", "load", "amperes"), [("0.2 ohm", "1 ohm", 8.333), ("0.2 ohm", "0 ohm", 50), ("0 ohm", "1 ohm", 10)]
)
def test_n7_internal_resistance(inside: str, load: str, amperes: float) -> None:
    bench = Bench(resistors("", BT1=f"1 0 battery 10 V {inside}", R1=f"1 0 resistor {load}"))
    assert printed(bench.drawn, 4) == amperes


@pytest.mark.parametrize(("amperes", "hours"), [(3.5, 20), (70, 1), (7, 10), (0.001, 70_000)])
def test_n8_how_long_a_battery_of_70_ah_lasts(amperes: float, hours: float) -> None:
    bench = Bench(resistors("", BT1="1 0 battery 70 V 70 Ah 0 ohm", R1=f"1 0 resistor {70 / amperes:.6f} ohm"))
    assert printed(standing_hours(70, bench.drawn), 4) == hours


@pytest.mark.parametrize("shorted", ["R1", "R2", "R3"])
def test_n9_an_open_lowers_and_a_short_raises_the_current(shorted: str) -> None:
    parts = {
        "BT1": "1 0 battery 9 V 0 ohm",
        "R1": "1 2 resistor 3 ohm",
        "R2": "1 2 resistor 10 ohm",
        "R3": "2 0 resistor 5 ohm",
    }
    whole = Bench(resistors("", **parts)).drawn
    a, b, _ = parts[shorted].split(" ", 2)
    with_open = Bench(resistors("", **{**parts, shorted: f"{a} {b} resistor 1000000 kohm"})).drawn
    with_short = Bench(resistors("", **{**parts, shorted: f"{a} {b} resistor 0 ohm"})).drawn
    assert with_open < whole < with_short


def test_n10_series_and_series_parallel_of_the_army() -> None:
    series = Bench(
        resistors(
            "",
            BT1="1 0 battery 100 V 0 ohm",
            R1="1 2 resistor 20 ohm",
            R2="2 3 resistor 5 ohm",
            R3="3 0 resistor 15 ohm",
        )
    )
    assert printed(ohms(series.network, Point("N1", ""), Point("N0", "")), 4) == 40
    mixed = Bench(resistors("", BT1="1 0 battery 300 V 0 ohm", R1="1 2 resistor 100 ohm", R2="2 0 resistor 50 ohm"))
    assert printed(mixed.drawn, 4) == 2


def test_n11_three_resistors_of_the_navy() -> None:
    # NEETS module 1, from memory (grade C).
    bench = Bench(
        resistors(
            "",
            BT1="1 0 battery 90 V 0 ohm",
            R1="1 2 resistor 5 ohm",
            R2="2 3 resistor 10 ohm",
            R3="3 0 resistor 15 ohm",
        )
    )
    assert printed(bench.drawn, 3) == 3
    assert [printed(bench.across(f"R{i}"), 3) for i in (1, 2, 3)] == [15, 30, 45]
    assert [printed(bench.across(f"R{i}") * bench.drawn, 3) for i in (1, 2, 3)] == [45, 90, 135]
