"""Published examples of wire sizing and voltage drop, matched to the printed digits.

Where an example gives a current and not a load, the load is a resistance so great, on a voltage so high, that the
wire does not matter to the current.
"""

from __future__ import annotations

import pytest

from compiler.network.conductors import conductor_c, derated_a, length_when_hot
from tests.network.circuits import Bench, resistors

FOOT = 0.3048

STIFF = """
battery BT1 "Source" {volts} V 0 ohm
resistor R1 "Load" 1 2 {ohm} ohm
circuit 1 {size} BK {{ A  BT1.+ -- R1.1  {length:.4f} m }}
circuit 2 1000 mm2 BK {{ A  R1.2 -- BT1.-  1 mm }}
"""


def drop(size: str, feet: float, amperes: float, **world: object) -> float:
    """Volts lost in a wire that carries a given current."""
    text = STIFF.format(volts=1_000_000, ohm=1_000_000 / amperes, size=size, length=feet * FOOT)
    return Bench(text, **world).across("1A")  # type: ignore[arg-type]


# -- FAA AC 43.13-1B CHG 1, tables 11-7 and 11-8 and the examples of paragraph 11-68 (public domain), grade A
# ---------------
AC43 = [
    # example, size, feet, amperes, printed volts, digits printed
    ("T1", "6 AWG", 107, 20, 0.942, 3),
    ("T2", "4 AWG", 90, 20, 0.504, 3),
    ("T4", "14 AWG", 100, 20, 6.12, 3),
    ("T5", "10 AWG", 39, 20, 0.98, 2),
    ("T7", "10 AWG", 156, 20, 3.93, 3),
    ("T7", "10 AWG", 273, 20, 6.88, 3),
    ("T8", "8 AWG", 50, 20, 0.70, 2),
    ("T8", "10 AWG", 50, 20, 1.26, 3),
]


@pytest.mark.parametrize(("example", "size", "feet", "amperes", "volts", "digits"), AC43)
def test_ac_43_13_drops(example: str, size: str, feet: float, amperes: float, volts: float, digits: int) -> None:
    assert float(f"{drop(size, feet, amperes, basis='ac43-11-9'):.{digits}g}") == volts


def test_t3_is_printed_rounded_up() -> None:
    # The table prints 3.60 V for No. 12, 88 ft, 20 A; its own resistance of 2.02 ohm per 1000 ft gives 3.555 V.
    assert drop("12 AWG", 88, 20, basis="ac43-11-9") == pytest.approx(3.555, abs=5e-4)


def test_t6_is_a_misprint() -> None:
    # Row 2 of table 11-8 prints 0.366 V for No. 10, 19.5 ft, 20 A. Its product is 0.491 V, which also agrees with
    # the limit of 0.5 V that the row is for.
    volts = drop("10 AWG", 19.5, 20, basis="ac43-11-9")
    assert volts == pytest.approx(0.491, abs=5e-4)
    assert abs(volts - 0.366) > 0.1


@pytest.mark.parametrize(
    ("limit", "feet", "size", "next_size"),
    [
        (1.0, 107, "6 AWG", "8 AWG"),
        (0.5, 90, "4 AWG", "6 AWG"),
        (4.0, 88, "12 AWG", "14 AWG"),
        (7.0, 100, "14 AWG", "16 AWG"),
    ],
)
def test_t1_to_t4_the_printed_size_is_the_thinnest_that_keeps_the_limit(
    limit: float, feet: float, size: str, next_size: str
) -> None:
    # The table takes 0.504 V for 0.5 V.
    assert drop(size, feet, 20, basis="ac43-11-9") <= limit * 1.01 < drop(next_size, feet, 20, basis="ac43-11-9")


@pytest.mark.parametrize(("limit", "feet"), [(0.5, 19.5), (1.0, 39), (4.0, 156), (7.0, 273)])
def test_t5_to_t7_the_printed_length_of_no_10_is_the_longest(limit: float, feet: float) -> None:
    # Lengths are printed to half a foot at the short end and, at 4 V and 7 V, a little under what the product allows.
    assert drop("10 AWG", feet, 20, basis="ac43-11-9") <= limit < drop("10 AWG", feet * 1.025, 20, basis="ac43-11-9")


def test_t8_takes_no_8() -> None:
    assert drop("8 AWG", 50, 20, basis="ac43-11-9") <= 1.0 < drop("10 AWG", 50, 20, basis="ac43-11-9")


def test_t9_a_capacity_derated_for_altitude_and_bundle() -> None:
    assert derated_a(47, 0.91) == pytest.approx(42.77)
    assert float(f"{derated_a(47, 0.91, 0.6):.2g}") == 26


def test_t10_conductor_temperature() -> None:
    # The printed 182 degrees are from memory (grade C); the formula is read.
    assert round(conductor_c(50, 200, 20, 26)) == 182


def test_t11_the_length_that_is_left_when_hot() -> None:
    # The printed 9.5 ft are from memory (grade C); the formula is read.
    assert round(length_when_hot(15.5, conductor_c(50, 200, 20, 26)), 1) == 9.5


def test_t12_no_12_is_taken() -> None:
    # From memory (grade D): 15.4 ft, taken for the 15.5 ft that are wanted.
    hot = conductor_c(50, 200, 20, 37)
    assert hot == pytest.approx(160.3, abs=0.05)
    assert length_when_hot(24, hot) == pytest.approx(15.47, abs=0.005)


def test_t13_a_harness_derated() -> None:
    # From memory (grade C).
    thick, thin = derated_a(21.5, 0.52, 0.79), derated_a(16.2, 0.52, 0.79)
    assert (round(thick, 1), round(thin, 1)) == (8.8, 6.7)
    assert derated_a(10 * 8.8 + 25 * 6.6, 0.2) == pytest.approx(50.6)


# -- other published examples
# ----------------------------------------------------------------------------------------------
def wire_ohm(resistivity: float, metres: float, area_mm2: float) -> str:
    """The resistance of a wire by the example's own resistivity (ohm mm2/m), as a declaration."""
    return f"resistor {resistivity * metres / area_mm2:.9f} ohm"


def test_v1_area_for_half_a_volt() -> None:
    # Trade booklet, second-hand (grade B): A = I rho L / U, 8.3 A, 0.018 ohm mm2/m, 1.8 m, 0.5 V: 0.54 mm2, take 1 mm2.
    def lost(area: float) -> float:
        parts = {"R1": f"1 2 {wire_ohm(0.018, 1.8, area)}", "R2": f"2 0 resistor {1_000_000 / 8.3:.6f} ohm"}
        return Bench(resistors("", BT1="1 0 battery 1000000 V 0 ohm", **parts)).across("R1")

    assert lost(0.54) <= 0.5 < lost(0.53)
    assert round(lost(1), 2) == 0.27


def test_v2_feet_of_copper_under_a_fifth_of_an_ohm() -> None:
    # Open textbook (grade A): 2 300 ft, at most 0.2 ohm: 2/0, as 1/0 is too thin.
    assert drop("2/0 AWG", 2300, 1, basis="solid") <= 0.2 < drop("1/0 AWG", 2300, 1, basis="solid")


def test_v3_a_long_thin_pair_limits_its_own_short_circuit() -> None:
    # Open textbook (grade A), with its 10.09 ohm cmil/ft of element copper and No. 14 of 4 107 cmil.
    ohm = 10.09 * 2300 / 4107
    pair = {"R1": f"1 2 resistor {ohm:.6f} ohm", "R2": f"2 0 resistor {ohm:.6f} ohm"}
    bench = Bench(resistors("", BT1="1 0 battery 230 V 0 ohm", **pair))
    assert round(ohm, 3) == 5.651
    assert round(bench.drawn, 3) == 20.352


def test_v4_an_aluminium_bar() -> None:
    # Open textbook (inputs grade A): 4 cm x 3 cm x 125 cm at 2.650 uohm cm is 27.6 uohm; 100 A lose 2.76 mV in it.
    ohm = 2.650e-6 * 125 / (4 * 3)
    parts = {"R1": f"1 2 resistor {ohm:.9f} ohm", "R2": "2 0 resistor 10000 ohm"}
    bench = Bench(resistors("", BT1="1 0 battery 1000000 V 0 ohm", **parts))
    assert float(f"{bench.across('R1') / bench.amperes('R2') * 1e6:.3g}") == 27.6


@pytest.mark.parametrize(("celsius", "load_v", "wire_v"), [(20, 12.5, 0.75), (35, 12.42, 0.79)])
def test_v5_and_v6_two_wires_cold_and_warm(celsius: float, load_v: float, wire_v: float) -> None:
    # Open textbook (grade A), with its alpha of 0.004041 for element copper.
    ohm = 15 * (1 + 0.004041 * (celsius - 20))
    bench = Bench(
        resistors(
            "",
            BT1="1 0 battery 14 V 0 ohm",
            R1=f"1 2 resistor {ohm:.9f} ohm",
            R2="2 3 resistor 250 ohm",
            R3=f"3 0 resistor {ohm:.9f} ohm",
        )
    )
    assert float(f"{bench.across('R2'):.4g}") == load_v
    assert float(f"{bench.across('R1'):.2g}") == wire_v


def test_v7_three_feet_at_100_a() -> None:
    # Second-hand (grade B): 100 A x 3 ft x 0.000270 ohm/ft.
    parts = {"R1": f"1 2 resistor {3 * 0.000270:.9f} ohm", "R2": "2 0 resistor 10000 ohm"}
    assert round(Bench(resistors("", BT1="1 0 battery 1000000 V 0 ohm", **parts)).across("R1"), 2) == 0.08


@pytest.mark.parametrize(("share", "size", "next_size"), [(0.03, "10 SAE", "12 SAE"), (0.10, "16 SAE", "18 SAE")])
def test_v8_a_marine_chart(share: float, size: str, next_size: str) -> None:
    # Second-hand (grade B): 10 A, 21 ft out and back at 12 V take No. 10 at 3 % and No. 16 at 10 %. The chart's
    # numbers go by the SAE areas, which lie below the AWG ones.
    assert drop(size, 21, 10) <= share * 12 < drop(next_size, 21, 10)


@pytest.mark.parametrize(("ohm", "volts"), [(0.01, 2.0), (0.02, 4.0)])
def test_v9_a_bad_joint_at_200_a(ohm: float, volts: float) -> None:
    parts = {"R1": f"1 2 resistor {ohm} ohm", "R2": "2 0 resistor 5000 ohm"}
    assert round(Bench(resistors("", BT1="1 0 battery 1000000 V 0 ohm", **parts)).across("R1"), 2) == volts
