"""Terminal designations against DIN 72552."""

from __future__ import annotations

import pytest

from compiler.standards.terminals import din72552, din72552_notes, din72552_table, iso7588_terminal

# DIN 72552 (1971-03), a word that each meaning must hold; grade A.
READ = [
    ("1", "low voltage"),
    ("4", "high voltage"),
    ("15", "switched positive"),
    ("17", "start"),
    ("19", "preheat"),
    ("30", "battery positive"),
    ("31", "ground"),
    ("31b", "switched negative"),
    ("33a", "self-parking"),
    ("33L", "left"),
    ("49", "flasher: input"),
    ("49a", "flasher: output"),
    ("50", "starter control"),
    ("50h", "starter control"),
    ("53a", "self-parking"),
    ("53c", "washer"),
    ("54", "stop lamp"),
    ("55", "front fog"),
    ("56a", "main beam"),
    ("56b", "dipped beam"),
    ("57R", "right"),
    ("58d", "dimmed"),
    ("61", "charge warning"),
    ("87a", "break"),
    ("B+", "battery positive"),
    ("D+", "dynamo positive"),
    ("L", "left"),
    ("R", "right"),
    ("C2", "second tell-tale"),
    ("81a", "first output"),
    ("82", "make: input"),
    ("83b", "position 2"),
]


@pytest.mark.parametrize(("designation", "word"), READ)
def test_din_72552(designation: str, word: str) -> None:
    """DIN 72552, grade A."""
    meaning = din72552(designation)
    assert meaning is not None
    assert word in meaning
    assert din72552_table()[designation].grade == "A"


def test_second_hand_and_remembered_rows_say_so() -> None:
    """45, 51, 59, 64, 54g, 85, 86 grade B; 84, 87, 88 from memory (C)."""
    table = din72552_table()
    assert {table[name].grade for name in ("45", "51", "59", "64", "54g", "85", "86")} == {"B"}
    assert {table[name].grade for name in ("84", "87", "87b", "88")} == {"C"}


def test_disputed_terminals_are_noted() -> None:
    """Traps: 85/86 (which is the start of the coil) and 87 (contact input or output)."""
    notes = " ".join(din72552_notes())
    assert "85 and 86" in notes
    assert "87:" in notes


def test_letters_of_either_case_and_unknown_designations() -> None:
    assert din72552("87A") == din72552("87a")
    assert din72552("b+") == din72552("B+")
    assert din72552("30c") is None
    assert din72552("") is None


def test_no_two_designations_differ_by_case_only() -> None:
    names = list(din72552_table())
    assert len({name.casefold() for name in names}) == len(names)


def test_numbers_come_in_order_and_letters_last() -> None:
    names = list(din72552_table())
    assert names.index("2") < names.index("15") < names.index("31b") < names.index("88") < names.index("B+")


@pytest.mark.parametrize(
    ("number", "din"), [("1", "86"), ("2", "85"), ("3", "30"), ("4", "87a"), ("5", "87")]
)
def test_iso_7588_relay_numbers(number: str, din: str) -> None:
    """ISO 7588 numbers, from memory (C)."""
    assert iso7588_terminal(number) == din
    assert din72552(din) is not None
    assert iso7588_terminal("6") is None
