"""Lists as they come: headings, delimiters, encodings, numbers, cells that say nothing."""

from __future__ import annotations

import pytest

from compiler.exchange import cells
from compiler.exchange.columns import field_of
from compiler.exchange.problems import Sort, WireListError
from compiler.standards.colours import ColourError, builtin_table
from tests.exchange.rows import HEADINGS, ModelRow, as_csv, imported, model_rows, variant_of

ROW = ["7", "48", "X1", "3", "X2", "4", "sw/gn", "2.5", "730.38"]
ITEMS = b"item,kind,description,cavities\nX1,,Lamp,6\nX2,,Switch,4\n"
EXPECTED = ModelRow("7", "48", ("X1", "3"), ("X2", "4"), "sw/gn", "2.5 mm2", 730.38)


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_the_delimiter_is_found(delimiter: str) -> None:
    assert model_rows(imported(as_csv([ROW], delimiter=delimiter), ITEMS).text) == [EXPECTED]


@pytest.mark.parametrize(
    "headings",
    [
        "Leitung;Stromkreis;von;von Pin;nach;nach Pin;Farbe;Querschnitt [mm²];Länge [mm]",
        "Leitungs-Nr;Potential;von Bauteil;von Kammer;nach Bauteil;nach Kammer;Leitungsfarbe;QS mm2;Laenge_mm",
        "Wire No.;Net;From;Pin A;To;Pin B;Color;Cross section (mm2);Cut length (mm)",
        "WIRE ID;CIRCUIT;CONNECTOR A;CAVITY A;CONNECTOR B;CAVITY B;COLOUR CODE;CSA_QMM;LENGTH_MM",
        "nr;signal;Stecker 1;Kammer 1;Stecker 2;Kammer 2;Grundfarbe;mm²;Leitungslänge/mm",
    ],
)
def test_headings_in_use_are_known(headings: str) -> None:
    data = as_csv([ROW], headings.split(";"), ";")
    assert model_rows(imported(data, ITEMS).text) == [EXPECTED]


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("Länge [mm]", ("length", "mm")),
        ("length (m)", ("length", "m")),
        ("AWG", ("size", "AWG")),
        ("wire gauge", ("size", "")),
        ("Size AWG", ("size", "AWG")),
        ("pin a", ("from_cavity", "")),
        ("to", ("to_item", "")),
        ("gauge of the rails", ("", "")),
    ],
)
def test_a_heading_gives_field_and_unit(heading: str, field: tuple[str, str]) -> None:
    assert field_of(heading, "wires") == field


@pytest.mark.parametrize(
    "encode",
    [
        lambda text: text.encode("utf-8-sig"),
        lambda text: text.encode("utf-16"),
        lambda text: b"\xff\xfe" + text.encode("utf-16-le"),
        lambda text: text.encode("utf-8"),
        lambda text: text.replace("\n", "\r\n").encode(),
        lambda text: text.replace("\n", "\r").encode(),
    ],
)
def test_encodings_and_line_ends(encode: object) -> None:
    text = as_csv([ROW]).decode()
    items = "item,kind,description,cavities\nX1,,Lampe für Öldruck,6\nX2,,Switch,4\n"
    assert callable(encode)
    done = imported(encode(text), encode(items))
    assert model_rows(done.text) == [EXPECTED]
    assert variant_of(done.text).devices["X1-unit"].title == "Lampe für Öldruck"
    assert done.remarks == ()


def test_windows_1252_is_read_and_told() -> None:
    items = "item,kind,description,cavities\nX1,,Lampe für Öl,6\nX2,,Switch,4\n".encode("cp1252")
    done = imported(as_csv([ROW]), items)
    assert variant_of(done.text).devices["X1-unit"].title == "Lampe für Öl"
    assert [remark.sort for remark in done.remarks] == [Sort.ASSUMED]


def test_quotes_line_ends_and_delimiters_in_cells() -> None:
    items = b'item,kind,description,cavities\nX1,,"A ""fine"", two-\nline lamp \\ more",6\nX2,,"; | ",4\n'
    done = imported(as_csv([ROW]), items)
    assert variant_of(done.text).devices["X1-unit"].title == 'A "fine", two- line lamp \\ more'
    assert variant_of(done.text).devices["X2-unit"].title == "; |"


@pytest.mark.parametrize("nothing", ["", "NULL", "/NULL", "null", "-", " - ", "—", "n/a", "?", "unbekannt"])
def test_a_cell_that_says_nothing_is_not_known(nothing: str) -> None:
    row = ["7", "48", "X1", "3", nothing, nothing, nothing, nothing, nothing]
    done = imported(as_csv([row]), ITEMS)
    assert model_rows(done.text) == [ModelRow("7", "48", ("X1", "3"), ("", ""), None, None, None)]
    assert "colour ?" in done.text
    assert "size ?" in done.text
    assert "length ?" in done.text
    assert done.remarks == ()


@pytest.mark.parametrize(
    ("size", "length", "expected"),
    [
        ("0,5", "1234,5", ("0.5 mm2", 1234.5)),
        ("0,5", "1.234,5", ("0.5 mm2", 1234.5)),
        ("0.5", "1,234.5", ("0.5 mm2", 1234.5)),
        ("0,75 mm²", "1,25 m", ("0.75 mm2", 1250)),
        (".5", "12 cm", ("0.5 mm2", 120)),
        ("16 AWG", "30", ("16 AWG", 30)),
        ("awg 2/0", "30", ("2/0 AWG", 30)),
    ],
)
def test_numbers_and_units_in_cells(size: str, length: str, expected: tuple[str, float]) -> None:
    row = [*ROW[:7], size, length]
    (found,) = model_rows(imported(as_csv([row], delimiter=";"), ITEMS).text)
    assert (found.size, found.length_mm) == expected


@pytest.mark.parametrize(
    ("text", "comma", "number"),
    [
        ("2.5", False, "2.5"),
        ("2,5", True, "2.5"),
        ("1.234.567,8", True, "1234567.8"),
        ("1'234.5", False, "1234.5"),
        ("1 234", False, "1234"),
        ("12,34,567", False, None),
        ("-3", False, None),
        ("1e5", False, None),
        ("nan", False, None),
        ("inf", False, None),
        ("٣", False, None),
        ("1" * 16, False, None),
        ("", False, None),
    ],
)
def test_a_number_is_read_or_refused(text: str, comma: bool, number: str | None) -> None:
    assert cells.number(text, comma) == number


@pytest.mark.parametrize(
    ("written", "tracer", "code"),
    [
        ("sw/gn", "", "sw/gn"),
        ("SW-GN", "", "sw/gn"),
        ("sw gn", "", "sw/gn"),
        ("sw", "gn", "sw/gn"),
        ("br/NULL", "", "br"),
        ("NULL", "", None),
        ("sw/gn/rt", "", "sw/gn/rt"),
    ],
)
def test_a_colour_is_read(written: str, tracer: str, code: str | None) -> None:
    assert cells.colour(written, tracer, builtin_table("german")) == code


@pytest.mark.parametrize("written", ["swgn", "xx", "sw/sw", "sw+gn"])
def test_a_colour_that_the_table_does_not_have_is_refused(written: str) -> None:
    with pytest.raises(ColourError):
        cells.colour(written, "", builtin_table("german"))


def test_what_cannot_be_read_is_kept_and_told() -> None:
    row = ["7", "48", "X1", "3", "X2", "4", "pink-ish", "fat", "long"]
    done = imported(as_csv([row]), ITEMS)
    (wire,) = variant_of(done.text).wires
    assert (wire.colour, wire.size, wire.length_m) == (None, None, None)
    assert wire.notes == ("colour in the list: pink-ish", "csa_mm2 in the list: fat", "length_mm in the list: long")
    assert [(r.sort, r.line, r.column, r.value) for r in done.remarks] == [
        (Sort.NOT_READ, 2, "colour", "pink-ish"),
        (Sort.NOT_READ, 2, "csa_mm2", "fat"),
        (Sort.NOT_READ, 2, "length_mm", "long"),
    ]


def test_a_length_without_a_unit_is_not_guessed() -> None:
    headings = "wire circuit from_item from_cavity to_item to_cavity colour csa_mm2 length".split()
    done = imported(as_csv([ROW], headings), ITEMS)
    assert model_rows(done.text)[0].length_mm is None
    (remark,) = done.remarks
    assert "length_mm" in remark.says


def test_another_colour_table_that_reads_more_is_proposed() -> None:
    done = imported(as_csv([ROW]), ITEMS, colours="iec-60757")
    assert any("german leaves 0" in remark.says for remark in done.remarks)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (b"\n\n", "is empty"),
        (b"a,b,c\n1,2,3\n", "no column for from item; the headings are: a, b, c"),
        (b"from,to\n", "holds no wire"),
        (b"\xff\xfe\x00", "says that it is UTF-16, but is not"),
        (b'from,to\n"' + b"x" * 200_000 + b'",b\n', "line 2: field larger"),
    ],
)
def test_what_is_no_wire_list_is_refused_in_one_line(data: bytes, says: str) -> None:
    with pytest.raises(WireListError) as error:
        imported(data)
    assert says in str(error.value)
    assert "\n" not in str(error.value)


def test_an_unknown_colour_table_is_refused() -> None:
    with pytest.raises(WireListError, match="german"):
        imported(as_csv([ROW]), colours="russian")


def test_columns_that_are_not_understood_are_told() -> None:
    done = imported(as_csv([[*ROW, "x", "y"]], [*HEADINGS, "Moon phase", "colour"]), ITEMS)
    assert [(r.sort, r.column) for r in done.remarks] == [(Sort.NOT_USED, "Moon phase"), (Sort.NOT_USED, "colour")]


def test_rows_longer_or_shorter_than_the_headings() -> None:
    done = imported(as_csv([[*ROW, "more"], ROW[:6]]), ITEMS)
    assert model_rows(done.text)[1] == ModelRow("7_2", "48", ("X1", "3"), ("X2", "4"), None, None, None)
    assert [remark.sort for remark in done.remarks] == [Sort.NOT_READ, Sort.RENAMED]


def test_very_long_cells_are_cut_and_told() -> None:
    long = "n" * 20_000
    headings = [*HEADINGS, "note", "wire type"]
    done = imported(as_csv([["7", "48", "X1", "3", "X2", "4", long, long, long, long, long]], headings), ITEMS)
    (wire,) = variant_of(done.text).wires
    assert len(wire.notes) == 5
    assert done.remarks[0].sort is Sort.NOT_READ
    assert done.remarks[0].line == 2


def test_more_cavities_than_a_connector_can_have() -> None:
    rows = [[str(n), "1", "X1", f"{n}A", "X2", "4", "sw", "1", "1"] for n in range(1100)]
    with pytest.raises(WireListError, match="X1 has wires in more than 1000 cavities"):
        imported(as_csv(rows), ITEMS)


def test_a_list_too_large_for_a_source_is_refused() -> None:
    note = '\\"' * 240
    rows = [[str(n), str(n), "X1", "3", "X2", "4", "sw", "1", "1", note] for n in range(10_000)]
    with pytest.raises(WireListError, match="larger than 8 MiB"):
        imported(as_csv(rows, [*HEADINGS, "note"]), ITEMS)
