"""Texts fit for a page: cleaned, sorted, anchored, drawn."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from renderers.drawings import svg
from renderers.text import anchor, clean, initial, natural_key, number
from renderers.writers.csv_tables import as_text


@pytest.mark.parametrize(
    ("text", "cleaned"),
    [
        ("plain – °é日", "plain – °é日"),
        ("two\r\n  lines\tand a tab", "two lines and a tab"),
        ("a\x00b\x1bc\x7fd\x9be", "a\ufffdb\ufffdc\ufffdd\ufffde"),
        ("up\u202edown\u2066", "up\ufffddown\ufffd"),
        ("\ufeffx\udc80\ufffe\U0010ffff\U000e0041", "\ufffdx\ufffd\ufffd\ufffd\ufffd"),
        ("e\u0301\u200d", "e\u0301\u200d"),
    ],
)
def test_clean(text: str, cleaned: str) -> None:
    assert clean(text) == cleaned


@given(st.text(st.characters(codec=None)))
def test_clean_text_can_stand_in_any_file(text: str) -> None:
    cleaned = clean(text)
    cleaned.encode("utf-8")
    assert clean(cleaned) == cleaned
    ET.fromstring(svg.element("text", {"title": text}, svg.escape(text)))


def test_numbers_in_names_sort_as_numbers() -> None:
    names = ["F10", "f9", "É2", "F9", "E1", "12 (2)", "12", "1" * 5000, "2"]
    assert sorted(names, key=natural_key) == ["2", "12", "12 (2)", "1" * 5000, "E1", "É2", "F9", "f9", "F10"]


@given(st.tuples(st.text(), st.text()))
def test_two_names_never_share_an_anchor(names: tuple[str, str]) -> None:
    first, second = (anchor("item", name) for name in names)
    assert (first == second) == (names[0] == names[1])
    assert re.fullmatch(r"item-[A-Za-z0-9_-]*", first)


@pytest.mark.parametrize("letter", ["W", "\u00e9", "\U0001f697", " "])
def test_an_anchor_has_an_end(letter: str) -> None:
    """The print engine takes no address of 8,000 characters; a title may have 10,000."""
    names = [letter * count for count in (39, 40, 41, 199, 200, 201, 9999, 10_000)]
    made = {anchor("item", name) for name in names}
    assert len(made) == len(names)
    assert max(map(len, made)) < 1_500
    assert all(re.fullmatch(r"item-[A-Za-z0-9_-]*", one) for one in made)


def test_initials() -> None:
    assert [initial(text) for text in ("élan", "Ωmega", "9 lives", "“quoted”", "")] == ["E", "Ω", "0–9", "Q", "0–9"]


def test_numbers_as_printed() -> None:
    values = (2.0, 0.35, 107.22, 12345.6, 0.000012)
    assert [number(value) for value in values] == ["2", "0.35", "107.2", "12346", "1.2e-05"]


@pytest.mark.parametrize(
    "formula", ["=1+2", "+1", "-1", "@A1", " =1", "\t=1", "\uff1d1", "\uff0b1", "-", "=cmd|'/C'!A0"]
)
def test_a_formula_stays_text(formula: str) -> None:
    assert as_text(formula).startswith("'")
    assert as_text(formula)[1:] == clean(formula)


@pytest.mark.parametrize("plain", ["48A", "–", "K7.87", "a=b", "2.5 mm²", ""])
def test_other_text_is_left_alone(plain: str) -> None:
    assert as_text(plain) == plain
