"""Protection policies against 33 CFR 183, AC 43.13-1B and the guide currents of ISO 6722 cable."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compiler.standards.protection import policies, policy
from compiler.standards.sizes import Size, read_size

GAUGES = "18 16 14 12 10 8 6 4 3 2 1 0 00 000 0000".split()

# 33 CFR 183.425 table 5, public law, grade A.
TABLE_5 = {
    "60c": (10, 15, 20, 25, 40, 55, 80, 105, 120, 140, 165, 195, 225, 260, 300),
    "75c": (10, 15, 20, 25, 40, 65, 95, 125, 145, 170, 195, 230, 265, 310, 360),
    "80c": (15, 20, 25, 35, 50, 70, 100, 130, 150, 175, 210, 245, 285, 330, 385),
    "90c": (20, 25, 30, 40, 55, 70, 100, 135, 155, 180, 210, 245, 285, 330, 385),
    "105c": (20, 25, 35, 45, 60, 80, 120, 160, 180, 210, 245, 285, 330, 385, 445),
    "125c": (25, 30, 40, 50, 70, 90, 125, 170, 195, 225, 265, 305, 355, 410, 475),
    "200c": (25, 35, 45, 55, 70, 100, 135, 180, 210, 240, 280, 325, 370, 430, 510),
}
# 150 % of the 105 C column, worked out.
FUSE_105C = (30, 37.5, 52.5, 67.5, 90, 120, 180, 240, 270, 315, 367.5, 427.5, 495, 577.5, 667.5)

# FAA AC 43.13-1B table 11-3: gauge, breaker, fuse; grade A.
AC_11_3 = [
    ("22", 5, 5),
    ("20", 7.5, 5),
    ("18", 10, 10),
    ("16", 15, 10),
    ("14", 20, 15),
    ("12", 30, 20),
    ("10", 40, 30),
    ("8", 50, 50),
    ("6", 80, 70),
    ("4", 100, 70),
    ("2", 125, 100),
]

# FAA AC 43.13-1B table 11-9: gauge, A at 105, 150, 200 C; grade A.
AC_11_9 = [
    ("24", 2.5, 4, 5),
    ("22", 3, 5, 6),
    ("20", 4, 7, 9),
    ("18", 6, 9, 12),
    ("16", 7, 11, 14),
    ("14", 10, 14, 18),
    ("12", 13, 19, 25),
    ("10", 17, 26, 32),
    ("8", 38, 57, 71),
    ("6", 50, 76, 97),
    ("4", 68, 103, 133),
    ("2", 95, 141, 179),
    ("1", 113, 166, 210),
    ("0", 128, 192, 243),
    ("00", 147, 222, 285),
    ("000", 172, 262, 335),
    ("0000", 204, 310, 395),
]

# Guide currents of ISO 6722 cable at 30 and 50 C, after DIN VDE 0298-4, grade B.
ISO_GUIDE = [
    ("1", 19, 13.5),
    ("1.5", 24, 17.0),
    ("2.5", 32, 22.7),
    ("4", 42, 29.8),
    ("6", 54, 38.3),
    ("10", 73, 51.8),
    ("16", 98, 69.6),
    ("25", 129, 91.6),
    ("35", 158, 112),
    ("50", 198, 140),
    ("70", 245, 174),
    ("95", 292, 207),
    ("120", 344, 244),
]


def awg(text: str) -> Size:
    return read_size(text, "AWG")


def mm2(text: str) -> Size:
    return read_size(text, "mm2")


@pytest.mark.parametrize(("column", "amperes"), TABLE_5.items())
def test_33_cfr_183_table_5(column: str, amperes: tuple[float, ...]) -> None:
    """33 CFR 183.425 table 5, grade A."""
    rule = policy(f"33cfr183-{column}")
    assert tuple(rule.capacity_a(awg(gauge)) for gauge in GAUGES) == amperes
    assert {rule.limits(awg(gauge)).how for gauge in GAUGES} == {"table"}


def test_33_cfr_lets_the_fuse_be_150_per_cent() -> None:
    """33 CFR 183.455(c) below 50 V, grade A."""
    rule = policy("33cfr183-105c")
    assert tuple(rule.largest_fuse_a(awg(gauge)) for gauge in GAUGES) == FUSE_105C


@pytest.mark.parametrize(("gauge", "breaker", "fuse"), AC_11_3)
def test_ac_43_13_protector_chart(gauge: str, breaker: float, fuse: float) -> None:
    """FAA AC 43.13-1B table 11-3, grade A."""
    rule = policy("ac43-protector")
    assert rule.largest_fuse_a(awg(gauge)) == fuse
    assert rule.largest_breaker_a(awg(gauge)) == breaker


def test_ac_43_13_protector_chart_where_the_breaker_is_blank() -> None:
    """Table 11-3, 1 and 0 AWG: fuse 150 A, breaker blank: the breaker of 2 AWG is kept."""
    rule = policy("ac43-protector")
    for gauge in ("1", "0"):
        assert rule.largest_fuse_a(awg(gauge)) == 150
        assert rule.largest_breaker_a(awg(gauge)) == 125


@pytest.mark.parametrize(("gauge", "at_105", "at_150", "at_200"), AC_11_9)
def test_ac_43_13_table_11_9(gauge: str, at_105: float, at_150: float, at_200: float) -> None:
    """FAA AC 43.13-1B CHG 1 table 11-9, grade A."""
    found = [policy(f"ac43-11-9-{column}").capacity_a(awg(gauge)) for column in ("105c", "150c", "200c")]
    assert found == [at_105, at_150, at_200]


@pytest.mark.parametrize(("size", "at_30", "at_50"), ISO_GUIDE)
def test_iso_6722_guide_currents(size: str, at_30: float, at_50: float) -> None:
    """Guide currents after DIN VDE 0298-4, grade B; the fuse is not above them."""
    for name, amperes in (("iso6722-30c", at_30), ("iso6722-50c", at_50)):
        limits = policy(name).limits(mm2(size))
        assert limits == (amperes, amperes, amperes, "table")


def test_the_basis_is_part_of_the_limit() -> None:
    """Trap: 14 AWG with 105 C insulation is 35 A by 33 CFR and 10 A by AC 43.13-1B table 11-9 (grade A)."""
    boat, aircraft = policy("33cfr183-105c"), policy("ac43-11-9-105c")
    assert (boat.capacity_a(awg("14")), aircraft.capacity_a(awg("14"))) == (35, 10)
    assert "30 °C" in boat.basis
    assert "33 or more wires" in aircraft.basis


def test_the_policy_decides_the_fuse() -> None:
    """Trap: 33 CFR lets the fuse exceed the ampacity, AC 43.13-1B does not (grade A)."""
    size = awg("14")
    boat, aircraft = policy("33cfr183-105c"), policy("ac43-protector")
    assert boat.largest_fuse_a(size) == 52.5 > boat.capacity_a(size)
    assert aircraft.largest_fuse_a(size) == 15 == aircraft.capacity_a(size)


def test_density_rules() -> None:
    """German rule of thumb 5 and 10 A/mm2; trade-journal steps 10, 6, 4, 3 A/mm2: grade B."""
    assert policy("density-5").capacity_a(mm2("2.5")) == 12.5
    assert policy("density-10").capacity_a(mm2("2.5")) == 25
    stepped = policy("density-stepped")
    published = {"1": 10, "1.5": 15, "2.5": 25, "6": 36, "16": 96, "25": 100, "50": 200, "70": 210, "95": 285}
    assert {name: stepped.capacity_a(mm2(name)) for name in published} == published


def test_the_falling_step_of_the_density_rule_is_held() -> None:
    """The rule gives 40 A at 4 mm2 and 36 A at 6 mm2: 4 mm2 is held at 36 A."""
    stepped = policy("density-stepped")
    assert stepped.capacity_a(mm2("4")) == 36
    assert "held" in stepped.basis


def test_german_fuse_to_wire_guide() -> None:
    """Second-hand guide, grade B."""
    rule = policy("fuse-guide-german")
    printed = {"0.75": 3, "1": 6, "1.5": 8, "2.5": 16, "4": 25}
    assert {name: rule.largest_fuse_a(mm2(name)) for name in printed} == printed


def test_metric_sizes_under_a_table_of_gauges() -> None:
    """Trap: 0.75 mm2 is below 18 AWG (0.823 mm2) and so must carry less than its 20 A."""
    rule = policy("33cfr183-105c")
    small = rule.limits(mm2("0.75"))
    assert small.how == "below the table"
    assert small.capacity_a == pytest.approx(20 * 0.75 / awg("18").area_mm2)
    between = rule.limits(mm2("2.5"))  # between 14 AWG (2.08 mm2, 35 A) and 12 AWG (3.31 mm2, 45 A)
    assert between.how == "interpolated"
    assert between.capacity_a == pytest.approx(35 * (45 / 35) ** 0.396, rel=1e-3)
    assert rule.limits(mm2("150")) == (445, 667.5, 667.5, "above the table")
    assert rule.capacity_a(read_size("18", "SAE")) < 20


def test_unknown_policy_names_the_known_ones() -> None:
    with pytest.raises(KeyError, match=r"33cfr183-105c.*ac43-protector.*iso6722-50c.*density-5"):
        policy("33cfr183")


@pytest.mark.parametrize("name", policies())
def test_every_policy_states_its_basis_and_source(name: str) -> None:
    rule = policy(name)
    assert rule.name == name
    assert len(rule.basis) > 20
    assert "{" not in rule.title
    assert rule.grade in ("A", "B")


AREAS = st.one_of(st.floats(0.02, 300), st.sampled_from([0.75, 1, 2.5, 4, 6, awg("18").area_mm2]))


@pytest.mark.parametrize("name", policies())
@given(one=AREAS, two=AREAS)
def test_a_thicker_wire_never_carries_less(name: str, one: float, two: float) -> None:
    thin, thick = (Size("mm2", "x", area) for area in sorted((one, two)))
    low, high = policy(name).limits(thin), policy(name).limits(thick)
    slack = 1 + 1e-12
    assert 0 < low.capacity_a <= high.capacity_a * slack
    assert low.largest_fuse_a <= high.largest_fuse_a * slack
    assert low.largest_breaker_a <= high.largest_breaker_a * slack


@pytest.mark.parametrize("name", policies())
@given(area=st.floats(0.02, 0.3))
def test_below_a_table_no_more_for_each_mm2_than_its_first_row(name: str, area: float) -> None:
    rule = policy(name)
    if rule.rows and area < rule.rows[0][0]:
        first_area, first = rule.rows[0]
        assert rule.capacity_a(Size("mm2", "x", area)) / area <= first / first_area * (1 + 1e-12)


@pytest.mark.parametrize("name", policies())
def test_only_33_cfr_lets_the_fuse_exceed_the_capacity(name: str) -> None:
    limits = policy(name).limits(mm2("2.5"))
    share = 1.5 if name.startswith("33cfr183") else 1
    assert limits.largest_fuse_a == pytest.approx(share * limits.capacity_a, rel=1e-12)
