"""Conductor resistance against IEC 60228, ISO 6722, AC 43.13-1B and the copper constants."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compiler.standards.sizes import (
    Basis,
    Size,
    read_size,
    resistance_ohm_per_m,
    resistance_source,
    temperature_factor,
)

BASES: tuple[Basis, ...] = ("iec60228-class5", "iec60228-class5-coated", "iso6722", "ac43-11-9", "solid")
IEC_SIZES = "0.5 0.75 1 1.5 2.5 4 6 10 16 25 35 50 70 95 120".split()

# IEC 60228:2004 table 3, class 5, ohm/km at 20 C, plain and tin-coated, grade A.
IEC_PLAIN = (39.0, 26.0, 19.5, 13.3, 7.98, 4.95, 3.30, 1.91, 1.21, 0.780, 0.554, 0.386, 0.272, 0.206, 0.161)
IEC_COATED = (40.1, 26.7, 20.0, 13.7, 8.21, 5.09, 3.39, 1.95, 1.24, 0.795, 0.565, 0.393, 0.277, 0.210, 0.164)

# ISO 6722 maximum at 20 C, mohm/m: grade B from 1 mm2 on.
ISO_READ = {
    "1": 18.5,
    "1.5": 12.7,
    "2.5": 7.60,
    "4": 4.71,
    "6": 3.14,
    "10": 1.82,
    "16": 1.16,
    "25": 0.743,
    "35": 0.527,
    "50": 0.368,
    "70": 0.259,
    "95": 0.196,
    "120": 0.153,
}
# The same for the small sizes, from memory (C).
ISO_MEMORY = {"0.13": 136, "0.22": 84.8, "0.5": 37.1, "0.75": 24.7}

# Solid copper at 20 C, 100 % IACS, mohm/m, worked out from the printed AWG areas.
SOLID = {
    "4/0": 0.161,
    "2": 0.513,
    "10": 3.277,
    "12": 5.211,
    "14": 8.285,
    "18": 20.95,
    "20": 33.31,
    "24": 84.21,
}

# FAA AC 43.13-1B table 11-9, ohm per 1000 ft at 20 C and the mohm/m worked out from it, grade A.
AC_11_9 = {
    "24": (28.40, 93.2),
    "22": (16.20, 53.1),
    "20": (9.88, 32.4),
    "18": (6.23, 20.4),
    "16": (4.81, 15.8),
    "14": (3.06, 10.0),
    "12": (2.02, 6.63),
    "10": (1.26, 4.13),
    "8": (0.70, 2.30),
    "6": (0.44, 1.44),
    "4": (0.28, 0.919),
    "2": (0.18, 0.591),
    "1": (0.15, 0.492),
    "0": (0.12, 0.394),
    "00": (0.09, 0.295),
    "000": (0.07, 0.230),
    "0000": (0.06, 0.197),
}


def mohm_per_m(name: str, basis: Basis, system: str = "mm2") -> float:
    return resistance_ohm_per_m(read_size(name, system), 20.0, basis) * 1000


@pytest.mark.parametrize(
    ("name", "plain", "coated"), list(zip(IEC_SIZES, IEC_PLAIN, IEC_COATED, strict=True))
)
def test_iec_60228_class_5(name: str, plain: float, coated: float) -> None:
    """IEC 60228:2004 table 3, grade A."""
    assert mohm_per_m(name, "iec60228-class5") == pytest.approx(plain, rel=1e-12)
    assert mohm_per_m(name, "iec60228-class5-coated") == pytest.approx(coated, rel=1e-12)


@pytest.mark.parametrize(("name", "mohm"), [*ISO_READ.items(), *ISO_MEMORY.items()])
def test_iso_6722(name: str, mohm: float) -> None:
    """ISO 6722, grade B from 1 mm2; smaller sizes from memory (C)."""
    assert mohm_per_m(name, "iso6722") == pytest.approx(mohm, rel=1e-12)


@pytest.mark.parametrize("name", ISO_READ)
def test_iso_6722_resistivity_band(name: str) -> None:
    """R x A of every row read lies in 18.1 to 19.1 ohm.mm2/km: IACS 17.241 plus stranding (worked out)."""
    assert 18.1 <= mohm_per_m(name, "iso6722") * float(name) <= 19.1


@pytest.mark.parametrize(("name", "mohm"), SOLID.items())
def test_solid_copper(name: str, mohm: float) -> None:
    """IEC 60028: 0.017241 ohm.mm2/m at 20 C, grade A, on AWG areas."""
    assert mohm_per_m(name, "solid", "AWG") == pytest.approx(mohm, rel=5e-3 if mohm < 1 else 2e-4)


def test_iacs_is_one_fifty_eighth() -> None:
    """IEC 60028: 1/58 ohm.mm2/m, grade A."""
    assert resistance_ohm_per_m(read_size("1", "mm2"), basis="solid") == pytest.approx(1 / 58, rel=1e-4)


@pytest.mark.parametrize(("name", "printed"), AC_11_9.items())
def test_ac_43_13_table_11_9(name: str, printed: tuple[float, float]) -> None:
    """FAA AC 43.13-1B CHG 1 table 11-9, grade A."""
    per_m = mohm_per_m(name, "ac43-11-9", "AWG")
    assert per_m * 0.3048 == pytest.approx(printed[0], rel=1e-12)
    assert per_m == pytest.approx(printed[1], rel=4e-3)


@pytest.mark.parametrize(
    ("celsius", "k_t"),
    [(5, 1.064), (30, 0.962), (40, 0.926), (50, 0.893), (70, 0.833), (90, 0.781), (100, 0.758)],
)
def test_iec_60228_temperature_factor(celsius: float, k_t: float) -> None:
    """IEC 60228 k_t, R20 = R_t x k_t, grade A."""
    assert round(1 / temperature_factor(celsius, "iec60228"), 3) == k_t


def test_the_two_forms_of_the_copper_rule_agree() -> None:
    """1 + 0.00393 (T - 20) against (234.5 + T) / 254.5 at 105 C: 1.33405 and 1.33399 (grade A forms)."""
    assert temperature_factor(105) == pytest.approx(1.33405, abs=1e-5)
    assert temperature_factor(105, "ac43") == pytest.approx((234.5 + 105) / 254.5, rel=1e-12)


def test_copper_constants_are_not_mixed() -> None:
    """Trap: 0.00393 (IACS), 0.004 (IEC 60228) and 0.004041 (element) differ at 100 C."""
    assert temperature_factor(100) == pytest.approx(1 + 0.00393 * 80)
    assert temperature_factor(100) < temperature_factor(100, "iec60228") < 1 + 0.004041 * 80


def test_resistance_rises_with_temperature_as_iacs_copper() -> None:
    size = read_size("2.5", "mm2")
    assert resistance_ohm_per_m(size, 105.0) == pytest.approx(7.98e-3 * (1 + 0.00393 * 85))


def test_a_size_between_rows_lies_between_their_resistivities() -> None:
    assert 19.5 * 1 < mohm_per_m("1.25", "iec60228-class5") * 1.25 < 13.3 * 1.5
    assert mohm_per_m("0.35", "iec60228-class5") == pytest.approx(39.0 * 0.5 / 0.35)
    assert mohm_per_m("240", "iec60228-class5") == pytest.approx(0.161 * 120 / 240)


@pytest.mark.parametrize("celsius", [-101.0, 301.0, float("nan"), float("inf")])
def test_temperatures_outside_the_rule(celsius: float) -> None:
    with pytest.raises(ValueError, match="outside"):
        resistance_ohm_per_m(read_size("1", "mm2"), celsius)


def test_unknown_basis() -> None:
    with pytest.raises(ValueError, match="iec60228-class5, "):
        resistance_ohm_per_m(read_size("1", "mm2"), 20.0, "gold")  # type: ignore[arg-type]


@pytest.mark.parametrize("basis", BASES)
def test_every_basis_names_its_publication(basis: Basis) -> None:
    assert resistance_source(basis).startswith(("IEC", "ISO", "FAA"))


AREAS = st.floats(0.02, 500, allow_nan=False)


@given(AREAS, AREAS, st.sampled_from(BASES))
def test_a_thicker_wire_never_has_more_resistance(one: float, two: float, basis: Basis) -> None:
    thin, thick = sorted((one, two))
    r_thin = resistance_ohm_per_m(Size("mm2", "thin", thin), 20.0, basis)
    r_thick = resistance_ohm_per_m(Size("mm2", "thick", thick), 20.0, basis)
    assert r_thick <= r_thin * (1 + 1e-12)


@given(AREAS, st.floats(-100, 300), st.floats(-100, 300))
def test_a_hotter_wire_never_has_less_resistance(area: float, one: float, two: float) -> None:
    size = Size("mm2", "x", area)
    cold, hot = sorted((one, two))
    assert 0 < resistance_ohm_per_m(size, cold) <= resistance_ohm_per_m(size, hot)
