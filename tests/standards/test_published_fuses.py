"""Fuse types against ISO 8820-3 and the other families."""

from __future__ import annotations

import pytest

from compiler.standards.fuses import (
    colour_of,
    continuous_share,
    fuse_type,
    fuse_types,
    fuses_of_colour,
    opening_limits,
    standard_ratings,
)
from compiler.standards.swatches import swatch

# ISO 8820-3 types C (medium) and F (miniature), grade A.
SMALL_BLADE = {
    2: "grey",
    4: "pink",
    5: "tan",
    7.5: "brown",
    10: "red",
    15: "blue",
    25: "clear",
    30: "green",
}
# ISO 8820-3 type E (high current), grade B.
MAXI = {20: "yellow", 30: "green", 40: "orange", 50: "red", 60: "blue", 70: "brown", 80: "clear"}
# DIN 72581 part 1, grade B.
TORPEDO = {5: "yellow", 8: "white", 16: "red", 25: "blue"}


@pytest.mark.parametrize("name", ["mini", "blade"])
@pytest.mark.parametrize(("rating", "colour"), SMALL_BLADE.items())
def test_blade_colours(name: str, rating: float, colour: str) -> None:
    """ISO 8820-3 types C and F, grade A."""
    kind = fuse_type(name)
    assert kind.fits_colour(rating, colour)
    assert kind.enforces_colour(rating)
    others = set(SMALL_BLADE.values()) - {colour}
    assert not any(kind.fits_colour(rating, other) for other in others)


@pytest.mark.parametrize(("rating", "colour"), MAXI.items())
def test_maxi_colours(rating: float, colour: str) -> None:
    """ISO 8820-3 type E, grade B."""
    assert fuse_type("maxi").fits_colour(rating, colour)
    assert fuse_type("maxi").enforces_colour(rating)


@pytest.mark.parametrize(("rating", "colour"), TORPEDO.items())
def test_torpedo_colours(rating: float, colour: str) -> None:
    """DIN 72581 part 1, grade B."""
    assert fuse_type("torpedo").fits_colour(rating, colour)


def test_a_40_a_medium_blade_is_orange() -> None:
    """ISO 8820-3 type C, grade B."""
    assert colour_of("blade", 40) == ("orange", "amber", "OG")
    assert colour_of("mini", 40) is None


@pytest.mark.parametrize(
    ("colour", "small", "maxi"), [("red", 10, 50), ("blue", 15, 60), ("brown", 7.5, 70), ("clear", 25, 80)]
)
def test_a_colour_alone_never_gives_a_rating(colour: str, small: float, maxi: float) -> None:
    """Trap: the high-current type uses the same colours for other ratings (ISO 8820-3, grades A and B)."""
    found = fuses_of_colour(colour)
    assert {("blade", small), ("mini", small), ("maxi", maxi)} <= set(found)
    assert fuse_type("blade").fits_colour(small, colour)
    assert not fuse_type("maxi").fits_colour(small, colour)


def test_no_wire_colour_word_stands_for_a_single_fuse() -> None:
    for rating, colour in SMALL_BLADE.items():
        assert len(fuses_of_colour(colour)) > 1, (rating, colour)


@pytest.mark.parametrize("unsourced", [(1, "tan"), (2, "brown"), (3, "orange")])
def test_wrong_charts_in_circulation_are_not_followed(unsourced: tuple[float, str]) -> None:
    """Trap: several charts give 1 A tan, 2 A brown, 3 A orange."""
    assert not fuse_type("blade").fits_colour(*unsourced)


def test_what_comes_from_memory_is_not_enforced() -> None:
    """1, 3 and 20 A of the small blades are grade C, 35 A and the cartridge colours grade D."""
    blade = fuse_type("blade")
    assert [rating for rating in blade.ratings if not blade.enforces_colour(rating)] == [1, 3, 20, 35]
    cartridge = fuse_type("cartridge")
    assert not cartridge.enforces_ratings()
    assert not any(cartridge.enforces_colour(rating) for rating in cartridge.colours)
    assert not fuse_type("strip").enforces_ratings()
    assert not blade.enforces_colour(99)


def test_ratings_made() -> None:
    """Ratings by body, grade B."""
    assert standard_ratings("mini") == (2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30)
    assert standard_ratings("blade") == (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40)
    assert standard_ratings("maxi") == (20, 30, 40, 50, 60, 70, 80)
    assert all(fuse_type(name).enforces_ratings() for name in ("mini", "blade", "maxi", "torpedo"))
    assert fuse_type("blade").is_standard(7.5)
    assert not fuse_type("blade").is_standard(12)


def test_strip_fuses_have_a_range_only() -> None:
    """ISO 8820-5, 30 to 500 A, from memory (C)."""
    strip = fuse_type("strip")
    assert strip.ratings == ()
    assert [strip.is_standard(rating) for rating in (29, 30, 175, 500, 501)] == [
        False,
        True,
        True,
        True,
        False,
    ]
    assert strip.fits_colour(100, "blue") is None


@pytest.mark.parametrize(
    ("percent", "least", "most"),
    [(100, 360_000, None), (135, 60, 1800), (200, 2, 50), (350, 0.2, 7), (600, 0.04, 1)],
)
def test_maxi_opening_times(percent: float, least: float, most: float | None) -> None:
    """A maker's sheet quoting ISO 8820-3:2002 type E, grade B (200 % grade A)."""
    limit = next(limit for limit in opening_limits("maxi", 60) if limit.percent == percent)
    assert (limit.min_s, limit.max_s) == (least, most)


@pytest.mark.parametrize(
    ("percent", "least", "most"),
    [(100, 360_000, None), (135, 0.75, 600), (200, 0.15, 5), (350, 0.08, 0.5), (600, 0, 0.15)],
)
def test_heavy_medium_blade_opening_times(percent: float, least: float, most: float | None) -> None:
    """A maker's sheet quoting ISO 8820-3 for 35 and 40 A of type C, grade B (200 % grade A)."""
    limit = next(limit for limit in opening_limits("blade", 40) if limit.percent == percent)
    assert (limit.min_s, limit.max_s) == (least, most)
    assert limit.grade in ("A", "B")


@pytest.mark.parametrize("name", ["mini", "blade"])
@pytest.mark.parametrize("rating", [2, 30])
def test_small_blade_opening_times(name: str, rating: float) -> None:
    """1 to 30 A of types C and F, from memory (C)."""
    limits = opening_limits(name, rating)
    assert {limit.grade for limit in limits} == {"C"}
    assert [limit[:3] for limit in limits] == [
        (110, 360_000, None),
        (135, 0.75, 600),
        (200, 0.15, 5),
        (350, 0.04, 0.5),
        (600, 0, 0.1),
    ]


def test_35_and_40_a_share_their_limits() -> None:
    assert opening_limits("blade", 35) == opening_limits("blade", 40)


@pytest.mark.parametrize("name", ["mini", "blade"])
def test_a_10_a_blade_takes_the_limit_that_was_read(name: str) -> None:
    """200 %: 0.15 to 5 s was read for a 10 A part (grade A), for the other ratings it is from memory (C)."""
    read = {limit.percent: limit.grade for limit in opening_limits(name, 10)}
    assert (read[200], read[160]) == ("A", "B")
    assert {limit.percent: limit.grade for limit in opening_limits(name, 15)}[200] == "C"
    assert len(opening_limits(name)) > len(opening_limits(name, 10))


@pytest.mark.parametrize("name", fuse_types())
def test_more_current_never_opens_later(name: str) -> None:
    for rating in fuse_type(name).ratings:
        limits = opening_limits(name, rating)
        assert [limit.percent for limit in limits] == sorted({limit.percent for limit in limits})
        longest = [limit.max_s for limit in limits if limit.max_s is not None]
        assert longest == sorted(longest, reverse=True)
        assert all(limit.max_s is None or limit.min_s < limit.max_s for limit in limits)


@pytest.mark.parametrize(
    ("alias", "name"), [("type-F", "mini"), ("TYPE-C", "blade"), ("type-e", "maxi"), ("SF51", "strip")]
)
def test_aliases(alias: str, name: str) -> None:
    assert fuse_type(alias).name == name


def test_unknown_type_names_the_known_ones() -> None:
    with pytest.raises(KeyError, match="mini, blade, maxi, cartridge, strip, torpedo"):
        fuse_type("glass")


@pytest.mark.parametrize("written", ["Light-Brown", "beige", "TAN", " tan "])
def test_colours_as_people_write_them(written: str) -> None:
    assert fuse_type("blade").fits_colour(5, written)


def test_iec_letters_are_accepted() -> None:
    assert fuse_type("blade").fits_colour(15, "bu")
    assert not fuse_type("blade").fits_colour(15, "BN")
    assert not fuse_type("blade").fits_colour(5, "BN")  # brown is 7.5 A


@pytest.mark.parametrize("name", fuse_types())
def test_every_fuse_colour_can_be_drawn(name: str) -> None:
    kind = fuse_type(name)
    assert set(kind.colours) <= set(kind.ratings)
    for words in kind.colours.values():
        assert swatch(words[0]).name == words[0]


def test_continuous_load_guide() -> None:
    """At most 70 to 80 % of the rating: usual guide, from memory (C)."""
    assert 0.7 <= continuous_share() <= 0.8
