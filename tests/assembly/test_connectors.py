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
        ("connector C1 5 cavities a -- b { rows 2 }", "5 cavities do not make 2 equal rows"),
        ("connector C1 2 cavities a -- b { rows 3 }", "2 cavities do not make 3 equal rows"),
        ("connector C1 5 cavities a -- b { rows 2 2 }", "the rows of C1 hold 4 cavities, and it has 5"),
        ("connector C1 5 cavities a -- b { rows two }", "`rows` takes numbers, not two"),
        ("connector C1 5 cavities a -- b { rows 0 5 }", "`rows` takes numbers, not 0"),
        ("connector C1 4 cavities a -- b { rows 2 on b }", "`rows` takes numbers, not on"),
        ("connector C1 4 cavities a -- b { rows 2; rows 4 }", "C1 says `rows` twice"),
        ("connector C1 4 cavities a -- b { pins on a; pins on a }", "C1 says `pins` twice"),
        ("connector C1 2 cavities { pins on a }", "connector C1 does not say which harnesses it joins"),
    ],
)
def test_what_a_connector_cannot_say_is_one_finding(tmp_path: Path, text: str, says: str) -> None:
    assert [finding.says for finding in assembled(tmp_path, HARNESSES + text).findings] == [says]


def test_rows_are_a_number_of_equal_ones_or_the_cavities_in_each(tmp_path: Path) -> None:
    text = """
connector C1 6 cavities a -- b { rows 2 }
connector C2 10 cavities a -- b { rows 3 4 3 }
connector C3 a -- b { numbered A1..B4; rows 1 }
connector C4 4 cavities a -- b
"""
    connectors = variant_of(tmp_path, HARNESSES + text).connectors
    assert {c.id: c.rows for c in connectors.values()} == {"C1": (3, 3), "C2": (3, 4, 3), "C3": (8,), "C4": ()}


def test_rows_that_do_not_hold_the_cavities_are_pointed_at(tmp_path: Path) -> None:
    text = HARNESSES + "connector C1 11 cavities a -- b { rows 3 4 3 }\nconnector C2 11 cavities a -- b { rows 3 }"
    first, second = assembled(tmp_path, text).findings
    assert first.at is not None
    assert second.at is not None
    assert (first.at.text, first.mend) == ("3 4 3", "give each row its cavities, 11 in all")
    assert (second.at.text, second.mend) == ("3", "give the cavities of each row, such as `rows 4 4 3`")


def test_the_half_with_the_pins_is_known_by_its_harness_or_as_the_component(tmp_path: Path) -> None:
    text = """
connector C1 1 cavity a -- b { pins on b }
connector C2 1 cavity a -- b
lamp E1 1 2 5 W { connector C3 2 cavities { pins on component } }
lamp E2 1 2 5 W { connector C4 2 cavities { pins on harness } }
"""
    connectors = variant_of(tmp_path, HARNESSES + text).connectors
    assert {c.id: (c.contacts(0), c.contacts(1)) for c in connectors.values()} == {
        "C1": ("sockets", "pins"),
        "C2": ("", ""),
        "C3": ("sockets", "pins"),
        "C4": ("pins", "sockets"),
    }


@pytest.mark.parametrize("options", ["", "options WIDE"])
def test_rows_and_pins_can_be_extended_replaced_and_optional(tmp_path: Path, options: str) -> None:
    text = f"""variant S4 {{ {options} }}
harness a
harness b
option WIDE
connector C1 4 cavities a -- b {{ when WIDE {{ rows 2; pins on a }}; when not WIDE {{ rows 1; pins on b }} }}
connector C2 4 cavities a -- b
extend connector C2 {{ rows 1 3; pins on b }}
connector C3 4 cavities a -- b {{ rows 4; pins on b }}
replace connector C3 4 cavities a -- b {{ rows 2; pins on a }}
"""
    connectors = variant_of(tmp_path, {"S4.loom": text}).connectors
    assert {c.id: (c.rows, c.pins) for c in connectors.values()} == {
        "C1": ((2, 2), 0) if options else ((4,), 1),
        "C2": ((1, 3), 1),
        "C3": ((2, 2), 0),
    }


def test_pins_on_a_half_that_is_not_there_are_noted(tmp_path: Path) -> None:
    text = "connector C1 2 cavities a -- b { pins on bb }\nlamp E1 1 2 5 W { connector C2 2 cavities { pins on a } }"
    done = assembled(tmp_path, HARNESSES + text)
    assert done.variant is not None
    assert [(n.name, n.sort, n.at.text) for n in done.variant.unresolved] == [
        ("bb", "half of C1", "bb"),
        ("a", "half of C2", "a"),
    ]


def test_a_half_that_is_not_there_is_noted(tmp_path: Path) -> None:
    done = assembled(tmp_path, HARNESSES + "connector C1 2 cavities a -- b { spare 1 on c }")
    assert done.variant is not None
    assert [(n.name, n.sort, n.at.text) for n in done.variant.unresolved] == [("c", "half of C1", "c")]
