"""Text on sheets, broken into lines and cut to a width."""

from __future__ import annotations

from itertools import pairwise

import pytest

from renderers.sheets.labels import shorten, width, wrap

SIZE, LIMIT = 6.6, 48.0
WORDS = ["W" * 40_000, "tailgate" * 5_000, "x-" * 20_000, "\U0001f697" * 10_000]


@pytest.mark.parametrize("word", WORDS, ids=["capitals", "letters", "hyphens", "pictures"])
def test_a_word_of_any_length_is_broken_where_a_line_is_full(word: str) -> None:
    lines = wrap(word, LIMIT, SIZE, most=len(word))
    assert "".join(lines) == word
    assert all(width(line, SIZE) <= LIMIT for line in lines)
    assert all(width(line + after[:2], SIZE) > LIMIT for line, after in pairwise(lines))


@pytest.mark.parametrize("word", WORDS, ids=["capitals", "letters", "hyphens", "pictures"])
def test_a_text_is_cut_no_sooner_than_it_must_be(word: str) -> None:
    kept = shorten(word, LIMIT, SIZE).removesuffix("…")
    assert word.startswith(kept)
    assert width(kept + "…", SIZE) <= LIMIT < width(word[: len(kept) + 1] + "…", SIZE)


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("Cab, 150 mm from FB1", ("Cab,", "150 mm", "from FB1")),
        ("the crank sensor -", ("the crank", "sensor -")),
        ("the glow plug 1", ("the glow", "plug 1")),
        ("in cylinder 12, left", ("in", "cylinder 12,", "left")),
        ("see sheets 12, 14 (2), 16", ("see sheets", "12, 14 (2),", "16")),
        ("the fuse, 7.5 A", ("the fuse,", "7.5 A")),
        ("cross-members 3", ("cross-", "members 3")),
    ],
)
def test_a_number_keeps_its_unit_and_a_word_its_number_or_sign(text: str, lines: tuple[str, ...]) -> None:
    assert wrap(text, 38.0, SIZE) == lines


def test_where_nothing_fits_the_ellipsis_is_left() -> None:
    assert shorten("Rear screen", 1, SIZE) == "…"
    assert wrap("ab", 1, SIZE) == ("a", "b")
