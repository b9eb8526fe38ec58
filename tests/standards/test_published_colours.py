"""Colour codes against IEC 60757 and the German and North American sets."""

from __future__ import annotations

import itertools
import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compiler.standards.colours import (
    Colour,
    ColourError,
    builtin_table,
    builtin_tables,
    read_colour,
)
from compiler.standards.grades import enforceable
from compiler.standards.swatches import is_dark, swatch, swatches

IEC = builtin_table("iec-60757")

# IEC 60757:1983 table 1 in table order, with the old German letters (DIN 47002) beside; grade A.
TABLE_1 = [
    ("BK", "black", "sw"),
    ("BN", "brown", "br"),
    ("RD", "red", "rt"),
    ("OG", "orange", "or"),
    ("YE", "yellow", "ge"),
    ("GN", "green", "gn"),
    ("BU", "blue", "bl"),
    ("VT", "violet", "vi"),
    ("GY", "grey", "gr"),
    ("WH", "white", "ws"),
    ("PK", "pink", "rs"),
    ("GD", "gold", None),
    ("TQ", "turquoise", "tk"),
    ("SR", "silver", None),
    ("GNYE", "green-and-yellow", "gnge"),
]


def refused(text: str, table: str = "iec-60757") -> ColourError:
    with pytest.raises(ColourError) as caught:
        read_colour(text, builtin_table(table))
    return caught.value


def test_iec_60757_letters_in_table_order() -> None:
    """IEC 60757:1983 table 1, grade A."""
    assert [(code, colour.name) for code, colour in IEC.colours.items()] == [row[:2] for row in TABLE_1]
    assert IEC.joined_order == tuple(row[0] for row in TABLE_1)


def test_german_letters_mean_the_iec_colours() -> None:
    """DIN 47002 (withdrawn 2002) beside IEC 60757, grade A."""
    german = builtin_table("german")
    expected = {old: name for _, name, old in TABLE_1 if old}
    assert {code: colour.name for code, colour in german.colours.items()} == expected


@pytest.mark.parametrize("two", [("RD", "BU"), ("BU", "RD")])
def test_table_order_is_the_order_of_joining(two: tuple[str, str]) -> None:
    """IEC 60757: red and blue on one item are RDBU, grade A."""
    assert "".join(sorted(two, key=IEC.joined_order.index)) == "RDBU"


def test_lower_case_means_the_same() -> None:
    """IEC 60757:1983, grade B."""
    assert read_colour("bk/wh", IEC) == read_colour("BK/WH", IEC)
    assert read_colour("bk/Wh", IEC).code == "BK/WH"


def test_green_and_yellow_is_one_colour_with_two_inks() -> None:
    colour = read_colour("GNYE", IEC)
    assert (colour.code, colour.tracer) == ("GNYE", None)
    assert colour.base.stripe == IEC.colours["YE"].rgb
    assert colour != read_colour("GN/YE", IEC)


@pytest.mark.parametrize("base", [row[0] for row in TABLE_1])
@pytest.mark.parametrize("tracer", [row[0] for row in TABLE_1])
def test_a_joined_iec_code_is_never_base_and_tracer(base: str, tracer: str) -> None:
    """Joining goes by table order, so it cannot say which is the base (IEC 60757, grade A)."""
    if base + tracer == "GNYE":
        assert read_colour(base + tracer, IEC).tracer is None
        return
    assert refused(base + tracer).reason == "joined-code"


def test_a_joined_code_offers_both_readings() -> None:
    assert refused("RDBU").suggestion == "RD/BU or BU/RD"
    assert refused("BKWHYE").suggestion == "BK/WH/YE"
    assert refused("BKBK").suggestion is None
    assert refused("BKGNYE").suggestion == "BK/GNYE or GNYE/BK"


def test_base_tracers_and_words() -> None:
    colour = read_colour("BK/WH/RD", IEC)
    assert colour.tracer is not None
    assert colour.second is not None
    assert (colour.base.code, colour.tracer.code, colour.second.code) == ("BK", "WH", "RD")
    assert colour.name == "black with white and red tracers"
    assert read_colour("BK/WH", IEC).name == "black with white tracer"
    assert read_colour("BK", IEC).name == "black"


@pytest.mark.parametrize("text", ["BK/BK", "BK/WH/BK", "BK/WH/WH", "bk/BK"])
def test_a_tracer_that_cannot_be_told_apart(text: str) -> None:
    assert refused(text).reason == "same-tracer"


@pytest.mark.parametrize("text", ["", " ", "/", "BK/", "/BK", "BK//WH", "BK/WH/RD/YE", "BK/WH*", "*", "BK**"])
def test_malformed_colours(text: str) -> None:
    assert refused(text).reason == "malformed"


def test_a_core_list_is_not_a_wire_colour() -> None:
    """IEC 60757: + joins separate cores, grade A."""
    error = refused("BK+BK+BN+BU+GNYE")
    assert error.reason == "malformed"
    assert "cores" in str(error)


@pytest.mark.parametrize(
    ("text", "suggestion"),
    [
        ("blue", "BU"),
        ("Purple", "VT"),
        ("BLK", "BK"),
        ("sw", "BK"),
        ("rt", "RD"),
        ("KB", "BK"),
        ("GNY", "GNYE"),
        ("BL", "BK or BU"),
        ("GR", "GN or GY"),
        ("QX", None),
    ],
)
def test_did_you_mean(text: str, suggestion: str | None) -> None:
    error = refused(text)
    assert (error.reason, error.text, error.suggestion) == ("unknown-code", text, suggestion)


def test_the_error_names_the_part_at_fault() -> None:
    assert refused("BK/QX/WH").text == "QX"


def test_a_star_needs_a_standard_tracer() -> None:
    assert refused("VT*").reason == "no-standard-tracer"
    house = IEC.extended("HOUSE", "House colours", tracers={"VT": "WH", "bk": "wh"})
    starred = read_colour("vt*", house)
    assert (starred.code, str(starred), starred.standard) == ("VT/WH", "VT*", True)
    assert starred == read_colour("VT/WH", house)
    assert not read_colour("VT/WH", house).standard
    assert read_colour("BK*", house).code == "BK/WH"


@pytest.mark.parametrize("code", ["BL", "GR", "B", "P"])
@pytest.mark.parametrize("table", ["two-letter", "three-letter"])
def test_ambiguous_letters_are_refused(code: str, table: str) -> None:
    """BL blue or black, GR green or grey, P pink or purple, B black or blue: from memory, grade C."""
    error = refused(code, table)
    assert error.reason == "ambiguous-code"
    assert error.suggestion is not None
    choices = error.suggestion.split(" or ")
    assert len(choices) == 2
    assert set(choices) <= set(builtin_table(table).colours)


def test_north_american_sets_are_from_memory_and_may_only_warn() -> None:
    for name in ("two-letter", "three-letter"):
        table = builtin_table(name)
        assert table.grade == "C"
        assert not enforceable(table.grade)
        assert not {c.casefold() for c in table.ambiguous} & {c.casefold() for c in table.colours}
        assert set(table.aliases.values()) <= set(table.colours)


def test_second_spellings_give_the_canonical_code() -> None:
    assert read_colour("BR/YL", builtin_table("two-letter")).code == "BN/YE"
    assert read_colour("VIO/gra", builtin_table("three-letter")).code == "PPL/GRY"


def test_a_table_on_a_base() -> None:
    light = Colour.of("LG", "light green", "#90d060")
    house = IEC.extended("HOUSE", "House colours", [light, Colour.of("bu", "mid blue", "#3366CC")])
    assert read_colour("lg/BU", house).name == "light green with mid blue tracer"
    assert read_colour("BU", house).code == "bu"
    assert len(house.colours) == len(IEC.colours) + 1
    assert house.joined_order[-1] == "LG"
    assert refused("LG").reason == "unknown-code"  # the base is as it was


def test_a_declared_colour_settles_an_ambiguous_letter() -> None:
    house = builtin_table("two-letter").extended("H", "House", [Colour.of("BL", "blue", "#0000FF")])
    assert read_colour("BL", house).name == "blue"
    with pytest.raises(ColourError, match="may mean GN or GY"):
        read_colour("GR", house)


def test_a_faulty_table_is_refused() -> None:
    with pytest.raises(ColourError) as same:
        IEC.extended("H", "House", tracers={"BK": "bk"})
    assert same.value.reason == "same-tracer"
    with pytest.raises(ColourError) as unknown:
        IEC.extended("H", "House", tracers={"BK": "QX"})
    assert (unknown.value.reason, unknown.value.text) == ("unknown-code", "QX")
    with pytest.raises(ValueError, match="declared twice"):
        IEC.extended("H", "House", [Colour.of("LG", "a", "#000000"), Colour.of("lg", "b", "#111111")])


@pytest.mark.parametrize("rgb", ["red", "#12345", "#1234567", '#123456"><script>', "", "#GGGGGG"])
def test_no_other_text_passes_as_a_colour_value(rgb: str) -> None:
    with pytest.raises(ValueError, match="RRGGBB"):
        Colour.of("LG", "light green", rgb)


@pytest.mark.parametrize("code", ["", "B/K", "VT*", "1A", "B K", "B_K", "B+K"])
def test_a_declared_code_is_a_plain_word(code: str) -> None:
    with pytest.raises(ValueError, match="colour code"):
        Colour.of(code, "name", "#000000")


def test_unknown_built_in_table_names_the_known_ones() -> None:
    with pytest.raises(KeyError, match=r"german, iec-60757, three-letter, two-letter"):
        builtin_table("../sizes")
    assert builtin_tables() == ("german", "iec-60757", "three-letter", "two-letter")


def test_dark_goes_by_contrast() -> None:
    """WCAG 2 relative luminance: between #747474 and #777777 white and black text read alike."""
    assert is_dark("#000000")
    assert not is_dark("#FFFFFF")
    assert is_dark("#747474")
    assert not is_dark("#777777")
    assert IEC.colours["BK"].dark
    assert not IEC.colours["YE"].dark


def test_no_two_swatches_look_the_same() -> None:
    inks = [(one.rgb, one.stripe) for one in swatches().values()]
    assert len(inks) == len(set(inks))
    for one, two in itertools.combinations(IEC.colours.values(), 2):
        apart = sum(abs(int(one.rgb[i : i + 2], 16) - int(two.rgb[i : i + 2], 16)) for i in (1, 3, 5))
        assert apart >= 40 or one.stripe or two.stripe, (one, two)


def test_swatch_by_any_word() -> None:
    assert swatch("Amber").name == "orange"
    assert swatch("light-brown").name == "light brown"
    with pytest.raises(KeyError, match="known: black"):
        swatch("octarine")


@pytest.mark.parametrize("name", builtin_tables())
def test_tables_travel_between_processes(name: str) -> None:
    table = builtin_table(name)
    copy = pickle.loads(pickle.dumps(table))
    assert copy == table
    assert hash(copy) == hash(table)
    code = next(iter(table.colours))
    assert read_colour(code, copy) == read_colour(code, table)
    error = pickle.loads(pickle.dumps(refused("RDBU")))
    assert (error.reason, error.suggestion) == ("joined-code", "RD/BU or BU/RD")


CODES = st.sampled_from(list(IEC.colours))


@given(st.lists(CODES, min_size=1, max_size=3, unique=True), st.booleans())
def test_what_is_written_is_read_back(codes: list[str], lower: bool) -> None:
    written = "/".join(codes)
    assert read_colour(written.lower() if lower else written, IEC).code == written


@given(st.lists(CODES, min_size=2, max_size=6))
def test_joined_codes_are_always_refused(codes: list[str]) -> None:
    text = "".join(codes)
    if text != "GNYE":
        assert refused(text).reason == "joined-code"


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_with_a_reason(text: str) -> None:
    for table in map(builtin_table, builtin_tables()):
        try:
            colour = read_colour(text, table)
        except ColourError as error:
            said = str(error)
        else:
            said = colour.name
            assert read_colour(colour.code, table) == colour
        assert said
