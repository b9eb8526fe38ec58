"""Fuses and links against published values, through the whole run of the checks.

Grades: A official or public-domain text read, B one second-hand copy, C from memory.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from compiler.assembly.library import Library
from compiler.assembly.project import Project, ProjectError, Settings
from compiler.checks.run import check_variant
from grammar.finding import Finding, Severity

_HERE = Path("protection.loom")


def findings(text: str, check: str, **policy: Any) -> list[Finding]:
    """The findings of one check in a text, under a policy."""
    library = Library(Project(Path.cwd(), Settings(policy=policy))).with_texts({_HERE: f"variant T\n{text}"})
    checked = check_variant(library, _HERE)
    assert [f.says for f in checked.findings if f.check in ("syntax", "unknown-name", "check-crashed")] == []
    return [finding for finding in checked.findings if finding.check == check]


def fused(size: str, device: str) -> str:
    """One wire of a size behind a fuse or breaker."""
    return f"""
    bus B1
    ring-terminal E1
    {device} from B1
    circuit 1 {size} RD {{ A  F1.2 -- E1  1 m }}
    """


def is_too_large(size: str, device: str, protection: str) -> bool:
    return bool(findings(fused(size, device), "oversized-fuse", protection=protection))


# 33 CFR 183.425 table 5, allowable amperage of conductors, grade A: AWG -> 60, 75, 80, 90, 105, 125, 200 degrees C.
TABLE_5 = {
    "18": (10, 10, 15, 20, 20, 25, 25),
    "16": (15, 15, 20, 25, 25, 30, 35),
    "14": (20, 20, 25, 30, 35, 40, 45),
    "12": (25, 25, 35, 40, 45, 50, 55),
    "10": (40, 40, 50, 55, 60, 70, 70),
    "8": (55, 65, 70, 70, 80, 90, 100),
    "6": (80, 95, 100, 100, 120, 125, 135),
    "4": (105, 125, 130, 135, 160, 170, 180),
    "3": (120, 145, 150, 155, 180, 195, 210),
    "2": (140, 170, 175, 180, 210, 225, 240),
    "1": (165, 195, 210, 210, 245, 265, 280),
    "1/0": (195, 230, 245, 245, 285, 305, 325),
    "2/0": (225, 265, 285, 285, 330, 355, 370),
    "3/0": (260, 310, 330, 330, 385, 410, 430),
    "4/0": (300, 360, 385, 385, 445, 475, 510),
}
COLUMNS = ("60c", "75c", "80c", "90c", "105c", "125c", "200c")


@pytest.mark.parametrize("awg", TABLE_5)
@pytest.mark.parametrize("column", COLUMNS)
def test_a_fuse_may_be_150_percent_of_table_5(awg: str, column: str) -> None:
    """33 CFR 183.455(c), grade A: below 50 V at most 150 % of the table's value."""
    largest = TABLE_5[awg][COLUMNS.index(column)] * 1.5
    assert not is_too_large(f"{awg} AWG", f"fuse F1 {largest:g} A", f"33cfr183-{column}")
    assert is_too_large(f"{awg} AWG", f"fuse F1 {largest + 0.1:g} A", f"33cfr183-{column}")


def test_without_a_setting_the_105_degree_column_holds() -> None:
    [finding] = findings(fused("14 AWG", "fuse F1 53 A"), "oversized-fuse")
    assert "52.5 A at most" in finding.says
    assert not findings(fused("14 AWG", "fuse F1 52 A"), "oversized-fuse")


# FAA AC 43.13-1B CHG 1 table 11-3, DC wire and circuit protector chart, grade A: AWG -> breaker, fuse.
TABLE_11_3 = {
    "22": (5, 5), "20": (7.5, 5), "18": (10, 10), "16": (15, 10), "14": (20, 15), "12": (30, 20), "10": (40, 30),
    "8": (50, 50), "6": (80, 70), "4": (100, 70), "2": (125, 100),
}  # fmt: skip


@pytest.mark.parametrize("awg", TABLE_11_3)
def test_breakers_and_fuses_have_limits_of_their_own(awg: str) -> None:
    breaker, fuse = TABLE_11_3[awg]
    for kind, largest in (("breaker", breaker), ("fuse", fuse)):
        assert not is_too_large(f"{awg} AWG", f"{kind} F1 {largest:g} A", "ac43-protector")
        assert is_too_large(f"{awg} AWG", f"{kind} F1 {largest + 0.1:g} A", "ac43-protector")


def test_every_limit_says_its_source_and_on_what_it_holds() -> None:
    """14 AWG with 105 degree insulation has 10 A in a bundle of 33 at 70 degrees (AC 43.13-1B table 11-9) and 35 A as a
    single conductor at 30 degrees (33 CFR 183.425), both grade A: a limit without its basis says nothing."""
    [bundle] = findings(fused("14 AWG", "fuse F1 11 A"), "oversized-fuse", protection="ac43-11-9-105c")
    assert "10 A at most" in bundle.says
    assert any("table 11-9" in note.says and "70 °C ambient" in note.says for note in bundle.notes)
    assert not findings(fused("14 AWG", "fuse F1 10 A"), "oversized-fuse", protection="ac43-11-9-105c")
    [single] = findings(fused("14 AWG", "fuse F1 53 A"), "oversized-fuse")
    assert any("33 CFR 183.425" in note.says and "30 °C ambient" in note.says for note in single.notes)


def test_whether_a_fuse_may_pass_more_than_the_wire_is_a_declared_choice() -> None:
    """33 CFR lets the fuse pass 150 % of what the wire carries; AC 43.13-1B (11-48) wants it to open before. Both A."""
    text = fused("14 AWG", "fuse F1 30 A")
    assert not findings(text, "oversized-fuse", protection="33cfr183-105c")
    assert findings(text, "oversized-fuse", protection="ac43-protector")


def test_a_size_between_two_rows_is_said_to_be() -> None:
    [finding] = findings(fused("2.5 mm2", "fuse F1 80 A"), "oversized-fuse")
    assert any("2.5 mm2 lies between two rows of the table" in note.says for note in finding.notes)
    [finding] = findings(fused("0.5 mm2", "fuse F1 30 A"), "oversized-fuse")
    assert any("below the table's first row" in note.says for note in finding.notes)


def test_the_thinnest_wire_at_the_terminal_counts() -> None:
    text = """
    bus B1
    ring-terminal E1
    fuse F1 40 A from B1
    circuit 1 8 AWG RD { A  F1.2 -- E1  1 m; B  F1.2 -- E1  18 AWG  1 m }
    """
    [finding] = findings(text, "oversized-fuse")
    assert "wire 1B of 18 AWG" in finding.says


def test_the_mend_names_a_fuse_that_is_made_and_a_wire_that_is_large_enough() -> None:
    [finding] = findings(fused("18 AWG", "fuse F1 40 A blade"), "oversized-fuse")
    assert finding.mend == "fit a fuse of 30 A or less as F1, or make the wire 14 AWG or larger"
    for device in ("fuse F1 30 A blade", "fuse F1 40 A blade"):
        size = "18 AWG" if "30 A" in device else "14 AWG"
        assert not findings(fused(size, device), "oversized-fuse")


def test_sizes_that_are_not_known_are_passed_over() -> None:
    text = fused("1 mm2", "fuse F1 200 A").replace("E1  1 m", "E1  size ?  1 m")
    assert not findings(text, "oversized-fuse")


def test_a_policy_that_there_is_not() -> None:
    with pytest.raises(ProjectError, match="no policy is called '33cfr183-150c'; did you mean 33cfr183-125c"):
        findings(fused("1 mm2", "fuse F1 5 A"), "oversized-fuse", protection="33cfr183-150c")
    with pytest.raises(ProjectError, match="policy protection: 5 is not a str"):
        findings(fused("1 mm2", "fuse F1 5 A"), "oversized-fuse", protection=5)


# -- fusible links ----------------------------------------------------------------------------------------------------
# Four gauge numbers smaller, odd numbers counted: common practice, read. Metric twins: sizes read, pairs worked out.
LINKS = [("18 AWG", "14 AWG"), ("16 AWG", "12 AWG"), ("14 AWG", "10 AWG"), ("12 AWG", "8 AWG"), ("10 AWG", "6 AWG")]
LINKS += [("18 SAE", "14 SAE"), ("0.8 mm2", "2 mm2"), ("1 mm2", "3 mm2"), ("2 mm2", "5 mm2"), ("3 mm2", "8 mm2")]


def link_findings(link: str, wire: str) -> list[Finding]:
    text = f"""
    bus B1
    ring-terminal E1
    fusible-link FL1 {link} 0.15 m from B1
    circuit 1 {wire} RD {{ A  FL1.2 -- E1  1 m }}
    """
    return findings(text, "fusible-link-size")


@pytest.mark.parametrize(("link", "wire"), LINKS)
def test_a_link_suits_the_wire_it_is_paired_with_and_no_other(link: str, wire: str) -> None:
    assert not link_findings(link, wire)
    for _, other in LINKS:
        if other.split()[1] == wire.split()[1] and other != wire:
            [finding] = link_findings(link, other)
            assert ("too thick" in finding.says) is not ("too thin" in finding.says)


def test_a_link_too_thick_and_one_too_thin() -> None:
    [thick] = link_findings("16 AWG", "14 AWG")
    assert "too thick for wire 1A of 14 AWG" in thick.says
    [thin] = link_findings("20 AWG", "14 AWG")
    assert "too thin for wire 1A of 14 AWG" in thin.says
    assert thick.mend == thin.mend == "make the link 18 AWG"


def test_a_link_rule_without_a_published_source_only_warns() -> None:
    assert [f.severity for f in link_findings("16 AWG", "14 AWG")] == [Severity.WARNING]


@pytest.mark.parametrize(("link", "wire"), [("0.8 mm2", "14 SAE"), ("18 AWG", "14 SAE"), ("18 AWG", "2 mm2")])
def test_sizes_of_two_systems_are_not_converted(link: str, wire: str) -> None:
    [finding] = link_findings(link, wire)
    assert "cannot be set against" in finding.says


# -- colours and ratings ----------------------------------------------------------------------------------------------
# ISO 8820-3: rating, colour, grade of the row. Types C and F share their colours.
C_AND_F = [
    (2, "grey", "A"), (4, "pink", "A"), (5, "tan", "A"), (7.5, "brown", "A"), (10, "red", "A"), (15, "blue", "A"),
    (25, "clear", "A"), (30, "green", "A"), (3, "violet", "C"), (20, "yellow", "C"),
]  # fmt: skip
E = [
    (20, "yellow", "B"), (30, "green", "B"), (40, "orange", "B"), (50, "red", "B"), (60, "blue", "B"),
    (70, "brown", "B"), (80, "clear", "B"),
]  # fmt: skip
COLOURS = [(kind, *row) for kind in ("mini", "blade") for row in C_AND_F] + [("maxi", *row) for row in E]
COLOURS += [("blade", 40, "orange", "B"), ("blade", 1, "black", "C")]


def colour_findings(device: str) -> list[Finding]:
    return findings(fused("16 mm2", f"fuse F1 {device}"), "fuse-colour")


@pytest.mark.parametrize(("kind", "rating", "colour", "grade"), COLOURS)
def test_colours_of_blade_fuses(kind: str, rating: float, colour: str, grade: str) -> None:
    assert not colour_findings(f"{rating:g} A {kind} colour {colour}")
    [finding] = colour_findings(f"{rating:g} A {kind} colour turquoise")
    assert finding.severity is (Severity.ERROR if grade in "AB" else Severity.WARNING), "what is from memory only warns"
    assert "not turquoise" in finding.says


def test_a_colour_alone_gives_no_rating() -> None:
    """Red is 10 A on types C and F and 50 A on type E; blue 15 and 60; brown 7.5 and 70; clear 25 and 80."""
    for colour, small, large in (("red", 10, 50), ("blue", 15, 60), ("brown", 7.5, 70), ("clear", 25, 80)):
        assert not colour_findings(f"{small:g} A blade colour {colour}")
        assert not colour_findings(f"{small:g} A mini colour {colour}")
        assert not colour_findings(f"{large:g} A maxi colour {colour}")
    [finding] = colour_findings("15 A blade colour red")
    assert finding.says == "a 15 A blade fuse is blue, not red; red is 10 A"
    [finding] = colour_findings("40 A maxi colour red")
    assert finding.says == "a 40 A maxi fuse is orange, not red; red is 50 A"


def test_colours_by_letters_and_other_words() -> None:
    for device in ("10 A blade colour RD", "5 A mini colour beige", "25 A blade colour white"):
        assert not colour_findings(device)
    assert not colour_findings("40 A maxi colour amber")


def test_colours_that_nobody_publishes_are_left_alone() -> None:
    assert not colour_findings("100 A strip colour red")
    assert not colour_findings("12 A blade colour red")
    assert not colour_findings("10 A mini colour ?")


def test_without_a_type_a_colour_is_wrong_only_if_no_type_has_it() -> None:
    assert not colour_findings("30 A colour green")
    assert not colour_findings("50 A colour red")
    [finding] = colour_findings("10 A colour blue")
    assert (finding.severity, finding.says) == (Severity.WARNING, "no 10 A fuse is blue: it is red (mini, blade)")


# Ratings made: ISO 8820-3 types F, C and E, DIN 72581 part 1, grade B.
MADE = {
    "mini": (2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30),
    "blade": (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 40),
    "maxi": (20, 30, 40, 50, 60, 70, 80),
    "torpedo": (5, 8, 16, 25),
}


def rating_findings(device: str) -> list[Finding]:
    return findings(fused("4/0 AWG", f"fuse F1 {device}"), "fuse-rating")


@pytest.mark.parametrize("kind", MADE)
def test_ratings_are_those_of_the_type(kind: str) -> None:
    for rating in sorted({r for ratings in MADE.values() for r in ratings} | {6, 12, 35.5, 100}):
        found = rating_findings(f"{rating:g} A {kind}")
        assert bool(found) is (rating not in MADE[kind])
        assert all(finding.severity is Severity.ERROR for finding in found)


def test_ratings_from_memory_only_warn() -> None:
    for device in ("25 A cartridge", "600 A strip"):
        assert [f.severity for f in rating_findings(device)] == [Severity.WARNING]
    assert not rating_findings("100 A strip")
    assert not rating_findings("30 A cartridge")


def test_a_rating_of_nothing() -> None:
    assert [f.severity for f in rating_findings("0 A")] == [Severity.ERROR]
    assert not rating_findings("17 A")


def test_the_mend_of_a_rating_names_its_neighbours_and_the_type_that_has_it() -> None:
    [finding] = rating_findings("60 A blade")
    assert finding.mend == "nearest is 40 A; 60 A is made as maxi and cartridge"
    [finding] = rating_findings("12 A mini")
    assert finding.mend == "next to it are 10 A and 15 A"
