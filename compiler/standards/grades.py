"""How far a published value can be trusted, and so whether a check may fail on it."""

from __future__ import annotations

from typing import Literal, cast, get_args

Grade = Literal["A", "B", "C", "D", "common practice"]

_WORDS: dict[Grade, str] = {
    "A": "official or public text, or two independent copies that agree",
    "B": "one second-hand copy",
    "C": "from memory, believed right",
    "D": "from memory, uncertain",
    "common practice": "common practice, without a published standard",
}


def as_grade(text: str) -> Grade:
    """The grade written in a data file. Raises ValueError for any other word."""
    if text not in get_args(Grade):
        raise ValueError(f"{text!r} is not a grade; grades are {', '.join(get_args(Grade))}")
    return cast(Grade, text)


def enforceable(grade: Grade | None) -> bool:
    """Whether a check may call a breach an error: grades A and B only. All others can warn at most."""
    return grade in ("A", "B")


def grade_words(grade: Grade) -> str:
    """The grade in words, for a page or a finding."""
    return _WORDS[grade]
