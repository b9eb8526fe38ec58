"""Fuse types: ratings made, body colours, opening-time limits (ISO 8820, DIN 72581).

A colour alone never gives a rating: red is 10 A on a medium blade fuse and 50 A on a high-current one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from compiler.standards import _data
from compiler.standards.grades import Grade, as_grade, enforceable
from compiler.standards.swatches import colour_word


class OpeningLimit(NamedTuple):
    """Opening time in seconds at ``percent`` of the rating. ``max_s`` None: need not open at all."""

    percent: float
    min_s: float
    max_s: float | None
    grade: Grade
    from_a: float
    to_a: float
    """The ratings that the limit is for, both included."""


@dataclass(frozen=True, slots=True)
class FuseType:
    """One type of fuse. Ratings in A. Mappings are read only by agreement."""

    name: str
    title: str
    source: str
    grade: Grade
    """Of the list of ratings. A rating outside a list of grade C or D must not fail a check."""
    ratings: tuple[float, ...]
    """Ratings made; empty when only the range is known."""
    range_a: tuple[float, float]
    colours: Mapping[float, tuple[str, ...]]
    """By rating: accepted words and IEC 60757 letters, the usual word first (it has a swatch)."""
    colour_grades: Mapping[float, Grade]
    opening: tuple[OpeningLimit, ...]
    aliases: tuple[str, ...]

    def is_standard(self, rating_a: float) -> bool:
        """Whether the rating is made, or lies in the range where only that is known."""
        low, high = self.range_a
        return rating_a in self.ratings if self.ratings else low <= rating_a <= high

    def enforces_ratings(self) -> bool:
        """Whether an unlisted rating may be called an error: the list is of grade A or B."""
        return enforceable(self.grade)

    def enforces_colour(self, rating_a: float) -> bool:
        """Whether another colour may be called an error: this rating's colour is of grade A or B."""
        return enforceable(self.colour_grades.get(rating_a))

    def fits_colour(self, rating_a: float, written: str) -> bool | None:
        """Whether a colour as written (word or IEC letters) is the rating's; None when none is published."""
        if rating_a not in self.colours:
            return None
        return _plain(written) in map(_plain, self.colours[rating_a])


def fuse_types() -> tuple[str, ...]:
    """Names of the fuse types, without aliases."""
    return tuple(_types())


def fuse_type(name: str) -> FuseType:
    """A fuse type by name or alias (``type-C``), upper or lower case.

    Raises KeyError with the known names.
    """
    found = _names().get(name.casefold())
    if found is None:
        raise KeyError(f"no fuse type {name!r}; there are {', '.join(fuse_types())}")
    return _types()[found]


def standard_ratings(name: str) -> tuple[float, ...]:
    """Ratings made of a type, A; empty when only their range is known. Raises KeyError."""
    return fuse_type(name).ratings


def colour_of(name: str, rating_a: float) -> tuple[str, ...] | None:
    """Accepted colours of a type and rating, the usual word first; None when none is published.

    Raises KeyError.
    """
    return fuse_type(name).colours.get(rating_a)


def opening_limits(name: str, rating_a: float | None = None) -> tuple[OpeningLimit, ...]:
    """Opening-time limits of a type; for one rating, if it is given, the best known one at each percentage.

    Empty when none is known. Raises KeyError.
    """
    limits = fuse_type(name).opening
    if rating_a is None:
        return limits
    best: dict[float, OpeningLimit] = {}
    for limit in limits:  # the data file gives the better grade first
        if limit.from_a <= rating_a <= limit.to_a:
            best.setdefault(limit.percent, limit)
    return tuple(best.values())


def fuses_of_colour(written: str) -> tuple[tuple[str, float], ...]:
    """Every (type, rating) that a colour can stand for: more than one for nearly all of them."""
    return tuple(
        (kind.name, rating)
        for kind in _types().values()
        for rating in kind.colours
        if kind.fits_colour(rating, written)
    )


def continuous_share() -> float:
    """Share of a fuse's rating that a continuous load should not exceed (from memory: warn only)."""
    return float(_data.load("fuses")["guide"]["continuous_share"])


def _plain(colour: str) -> str:
    return colour_word(colour) or colour.strip().casefold()


@cache
def _names() -> dict[str, str]:
    return {name.casefold(): kind.name for kind in _types().values() for name in (kind.name, *kind.aliases)}


@cache
def _types() -> dict[str, FuseType]:
    types: dict[str, FuseType] = {}
    for row in _data.load("fuses")["type"]:
        ratings = tuple(float(rating) for rating in row.get("ratings", ()))
        low, high = row["range"] if "range" in row else (ratings[0], ratings[-1])
        colours = row.get("colours", ())
        types[row["name"]] = FuseType(
            row["name"],
            row["title"],
            row["source"],
            as_grade(row["grade"]),
            ratings,
            (float(low), float(high)),
            {float(colour["rating"]): tuple(colour["words"]) for colour in colours},
            {float(colour["rating"]): as_grade(colour["grade"]) for colour in colours},
            tuple(
                OpeningLimit(
                    float(limit["percent"]),
                    float(limit.get("min_s", 0)),
                    float(limit["max_s"]) if "max_s" in limit else None,
                    as_grade(limit["grade"]),
                    float(limit.get("from_a", low)),
                    float(limit.get("to_a", high)),
                )
                for limit in row.get("opening", ())
            ),
            tuple(row.get("aliases", ())),
        )
    return types
