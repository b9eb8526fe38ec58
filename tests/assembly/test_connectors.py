"""Connectors: numbering, halves, marks; and the ranges that stand for many names."""

from __future__ import annotations

from pathlib import Path

import pytest

from compiler.assembly.devices import grid
from tests.assembly.sources import assembled, variant_of

HARNESSES = "harness a\nharness b\n"


@pytest.mark.parametrize(
    ("word", "names"),
    [
        ("1..4", ("1", "2", "3", "4")),
        ("L1..L3", ("L1", "L2", "L3")),
        ("A1..B2", ("A1", "A2", "B1", "B2")),
        ("A8..B9", ("A8", "A9", "B8", "B9")),
        ("7..7", ("7",)),
        ("9..1", None),
        ("B1..A2", None),
        ("A1..b2", None),
        ("AA1..AB2", None),
        ("1..5000", None),
        ("1..99999999999999999999", None),
        ("A1", None),
    ],
)
def test_a_range_stands_for_its_names(word: str, names: tuple[str, ...] | None) -> None:
    assert grid(word) == names


def test_cavities_are_numbered_upward_or_as_said(tmp_path: Path) -> None:
    text = """
connector C1 3 cavities a -- b
connector C2 a -- b { numbered A1..B2 C5 }
connector C3 4 cavities a -- b { numbered 1 2 ; numbered 7 8 }
"""
    connectors = variant_of(tmp_path, HARNESSES + text).connectors
    assert connectors["C1"].cavities == ("1", "2", "3")
    assert connectors["C2"].cavities == ("A1", "A2", "B1", "B2", "C5")
    assert connectors["C3"].cavities == ("1", "2", "7", "8")


def test_marks_hold_for_both_halves_or_one(tmp_path: Path) -> None:
    text = "connector C1 9 cavities a -- b { spare 1 2 ; spare 3 on b; plugged 4..5 on a; doubled 6; spare rest }"
    connector = variant_of(tmp_path, HARNESSES + text).connectors["C1"]
    assert connector.spare == {"1": {0, 1}, "2": {0, 1}, "3": {1}}
    assert connector.plugged == {"4": {0}, "5": {0}}
    assert connector.doubled == {"6": {0, 1}}
    assert connector.spare_rest
    assert [(name, at.text) for name, at in connector.listed][3:5] == [("4", "4..5"), ("5", "4..5")]
    assert (connector.half_name(0), connector.half_name(1)) == ("a side", "b side")


def test_a_component_connector_belongs_to_its_device(tmp_path: Path) -> None:
    variant = variant_of(tmp_path, "lamp E1 1 2 5 W { connector C1 2 cavities }")
    connector = variant.connectors["C1"]
    assert (connector.device, connector.halves, connector.is_inline) == ("E1", ("", ""), False)
    assert variant.devices["E1"].connectors == ("C1",)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("connector C1 a -- b", "connector C1 does not say how many cavities it has"),
        ("connector C1 2 cavities", "connector C1 does not say which harnesses it joins"),
        ("connector C1 2 cavities a -- a", "connector C1 joins harness a to itself"),
        ("connector C1 2 V a -- b", "a connector takes a number of cavities, not 2 V"),
        ("connector C1 0 cavities a -- b", "a connector has 1 to 1000 cavities"),
        ("connector C1 1001 cavities a -- b", "a connector has 1 to 1000 cavities"),
        ("connector C1 2 cavities a -- b { numbered 1..3 }", "C1 has 2 cavities but 3 are numbered"),
        ("connector C1 a -- b { numbered 1..900 A1..A900 }", "a connector has 1 to 1000 cavities"),
        ("connector C1 a -- b { numbered 1 2 1 }", "cavity 1 of C1 is numbered twice"),
        ("connector C1 a -- b { numbered 1 9..2 }", "`9..2` is no range of cavities"),
    ],
)
def test_what_a_connector_cannot_say_is_one_finding(tmp_path: Path, text: str, says: str) -> None:
    assert [finding.says for finding in assembled(tmp_path, HARNESSES + text).findings] == [says]


def test_a_half_that_is_not_there_is_noted(tmp_path: Path) -> None:
    done = assembled(tmp_path, HARNESSES + "connector C1 2 cavities a -- b { spare 1 on c }")
    assert done.variant is not None
    assert [(n.name, n.sort, n.at.text) for n in done.variant.unresolved] == [("c", "half of C1", "c")]
