"""Items, circuits and cables of a list: kinds, names that are not legal, what the list leaves open."""

from __future__ import annotations

import pytest

from compiler.exchange.naming import is_circuit, is_core, is_item, is_listable, is_segment, is_terminal
from compiler.exchange.problems import Sort
from compiler.exchange.sheeting import WIRES_PER_SHEET
from grammar.words import FOLLOWS
from tests.exchange.rows import as_csv, imported, model_rows, variant_of


def wires(*ends: tuple[str, str, str, str], circuit: str = "1") -> bytes:
    return as_csv([[str(n), circuit, *end, "sw", "1", "100"] for n, end in enumerate(ends, 1)])


def items(*rows: str) -> bytes:
    return "\n".join(["item,kind,description,cavities,component", *rows]).encode()


def test_kinds_become_what_the_language_has() -> None:
    data = wires(("S1", "", "X1", "2"), ("S1", "", "R1", "1"), ("M1", "1", "K1", "30"), ("S1", "1", "M1", "1"))
    rows = items(
        "S1,Spleiß,Feed", "X1,Stecker,Lamp,4", "R1,Ringöse,Stud", "M1,Massepunkt,Kick panel", "K1,Relais,Horn relay"
    )
    variant = variant_of(imported(data, rows).text)
    assert variant.splices["S1"].title == "Feed"
    assert variant.grounds["M1"].title == "Kick panel"
    assert variant.devices["R1"].kind == "ring-terminal"
    assert variant.devices["K1"].terminals == ("30",)
    assert variant.connectors["X1"].cavities == ("1", "2", "3", "4")
    assert variant.connectors["X1"].spare_rest
    assert variant.devices["X1-unit"].title == "Lamp"


def test_connectors_of_one_component_are_put_together() -> None:
    data = wires(("XA", "1", "XB", "1"), ("XA", "2", "XB", "7"))
    rows = items("XA,,Grey plug,2,A7", "XB,,Black plug,8,A7")
    variant = variant_of(imported(data, rows).text)
    assert variant.devices["A7"].connectors == ("XA", "XB")
    assert variant.devices["A7"].terminals == ("XA.1", "XA.2", "XB.1", "XB.7")
    assert "connector XB: Black plug" in variant.devices["A7"].notes


def test_cavities_that_the_wires_name_are_there_whatever_the_list_says() -> None:
    data = wires(("X1", "A", "X2", "1"), ("X1", "B", "X2", "2"), ("X3", "1A", "X2", "9"))
    done = imported(data, items("X1,,Plug,", "X2,,Plug,2", "X3,,Plug,"))
    variant = variant_of(done.text)
    assert variant.connectors["X1"].cavities == ("A", "B")
    assert variant.connectors["X2"].cavities == ("1", "2", "9")
    assert variant.connectors["X3"].cavities == ("1A",)
    assert [(remark.sort, remark.value) for remark in done.remarks] == [(Sort.ASSUMED, "X2")]


def test_two_wires_in_a_cavity_are_a_doubled_one() -> None:
    data = wires(("X1", "1", "S1", ""), ("X1", "1", "S1", ""))
    variant = variant_of(imported(data, items("X1,,Plug,2", "S1,splice,")).text)
    assert set(variant.connectors["X1"].doubled) == {"1"}


def test_an_item_in_no_list_is_assumed_and_told() -> None:
    data = wires(("X1", "1", "Q1", "5"), ("X1", "2", "J", ""), ("X1", "3", "J", ""), ("X1", "4", "E", ""))
    done = imported(data, items("X1,,Plug,4"))
    variant = variant_of(done.text)
    assert variant.devices["Q1"].terminals == ("5",)
    assert variant.devices["E"].kind == "ring-terminal"
    assert "taken as a splice" in variant.splices["J"].notes[0]
    assert [(r.sort, r.value) for r in done.remarks] == [(Sort.ASSUMED, name) for name in ("Q1", "J", "E")]


def test_without_a_list_of_items_one_remark_says_so() -> None:
    done = imported(wires(("X1", "1", "Q1", "5"), ("X1", "2", "J", "")))
    assert [remark.sort for remark in done.remarks] == [Sort.ASSUMED]
    assert "2 as component, 1 as ring-terminal" in done.remarks[0].says


def test_item_and_cavity_in_one_cell() -> None:
    headings = ["wire", "circuit", "from", "to", "colour"]
    done = imported(as_csv([["1", "1", "X1:3", "K1:87a", "sw"]], headings), items("X1,,Plug,4", "K1,relay,"))
    assert [(row.a, row.b) for row in model_rows(done.text)] == [(("X1", "3"), ("K1", "87a"))]


def test_ends_without_a_cavity_do_not_become_one_place() -> None:
    done = imported(wires(("K1", "30", "K1", ""), ("K1", "", "X1", "1")), items("K1,relay,", "X1,,Plug,1"))
    rows = model_rows(done.text)
    assert rows[0].b != rows[1].a
    assert {rows[0].b[0], rows[1].a[0]} == {"K1"}
    assert [remark.sort for remark in done.remarks] == [Sort.ASSUMED]


def test_an_item_without_wires_is_kept() -> None:
    variant = variant_of(
        imported(wires(("X1", "1", "X1", "2")), items("X1,,Plug,2", "X9,,Unused,3", "S9,splice,Unused")).text
    )
    assert variant.connectors["X9"].cavities == ("1", "2", "3")
    assert "S9" in variant.splices


NAMES = [
    "A 1",
    "A--1",
    "ü/ö",
    "note",
    "5A",
    "3 A",
    "A.1",
    "a;b",
    '"',
    "{",
    "#x",
    "\\",
    "?",
    "=1+1",
    "-",
    "x" * 300,
    "\u202eabc",
]


@pytest.mark.parametrize("name", NAMES)
def test_names_that_are_not_legal_are_carried_without_loss(name: str) -> None:
    row = [name, name, name, name, "X2", name, "sw", "1", "100"]
    done = imported(as_csv([row, ["2", "1", "X2", "b", "X2", "c", "sw", "1", "100"]]), items("X2,,Plug,"))
    variant = variant_of(done.text)
    assert len(variant.wires) == 2
    wire = variant.wires[0]
    if name in "?-":  # these say that nothing is said
        assert wire.a.problem == "not-known"
        return
    renamed = [remark.value for remark in done.remarks if remark.sort is Sort.RENAMED]
    changed = sum(found != name for found in (wire.segment, wire.circuit, wire.a.written.text.rpartition(".")[0]))
    assert renamed.count(name) >= changed
    for found, told in (
        (wire.segment, wire.notes),
        (wire.circuit, variant.circuits[wire.circuit].notes),
    ):
        assert found == name or any("in the list" in note for note in told)


def test_a_legal_name_is_kept_when_another_is_mended_to_the_same() -> None:
    done = imported(wires(("A 1", "1", "X", "1"), ("A_1", "1", "X", "2")))
    assert [row.a[0] for row in model_rows(done.text)] == ["A_1_2", "A_1"]


def test_a_splice_gives_way_to_a_terminal_of_the_same_words() -> None:
    data = wires(("K1", "1", "K1.1", ""), ("K1", "2", "K1.1", ""))
    rows = model_rows(imported(data, items("K1,relay,", "K1.1,splice,")).text)
    assert rows[0].a == ("K1", "1")
    assert rows[0].b == rows[1].b == ("K1_1", "")


def test_terminals_that_read_as_quantities_are_kept() -> None:
    data = wires(("K1", "3", "K1", "A"), ("K1", "1A", "K1", "12 V"), ("K1", "m", "K1", "2"))
    variant = variant_of(imported(data, items("K1,relay,")).text)
    ends = [str(end.point) for wire in variant.wires for end in wire.ends]
    assert ends[:3] == ["K1.3", "K1.A", "K1.1A"]
    assert ends[4:] == ["K1.m", "K1.2"]


def test_a_wire_number_given_twice_in_a_circuit_is_two_wires() -> None:
    data = as_csv([["7", "1", "X", "1", "Y", "1", "sw", "1", "1"], ["7", "1", "X", "2", "Y", "2", "sw", "1", "1"]])
    done = imported(data)
    assert [row.wire for row in model_rows(done.text)] == ["7", "7_2"]
    assert any(remark.sort is Sort.RENAMED for remark in done.remarks)


def test_without_circuits_the_wire_number_gives_them() -> None:
    rows = [[number, "", "X", str(n), "Y", "1", "sw", "1", "1"] for n, number in enumerate(["48A", "48B", "17", "W-3"])]
    done = imported(as_csv(rows))
    assert [(row.circuit, row.wire) for row in model_rows(done.text)] == [
        ("48", "A"), ("48", "B"), ("17", "A"), ("W-3", "A"),
    ]  # fmt: skip
    assert variant_of(done.text).wires[0].id == "48A"


def test_a_circuit_made_from_a_number_is_not_one_that_the_list_gives() -> None:
    rows = [["1", "48", "X", "1", "Y", "1", "sw", "1", "1"], ["48A", "", "X", "2", "Y", "2", "rt", "1", "1"]]
    assert [row.circuit for row in model_rows(imported(as_csv(rows)).text)] == ["48", "48_2"]


def test_without_numbers_wires_are_counted_and_told() -> None:
    done = imported(as_csv([["X", "1", "Y", "1"]], ["from", "from pin", "to", "to pin"]))
    assert [(row.circuit, row.wire) for row in model_rows(done.text)] == [("W1", "A")]
    assert any("W1" in remark.says for remark in done.remarks)


def test_wires_of_a_cable_are_its_cores() -> None:
    headings = "wire circuit cable from_item from_cavity to_item to_cavity colour csa_mm2 length_mm".split()
    rows = [
        ["1", "9", "W12", "X", "1", "Y", "1", "sw", "0.5", "700"],
        ["2", "9", "W12", "X", "2", "Y", "2", "", "", "700"],
        ["2.1", "8", "W 12", "X", "3", "Y", "3", "rt", "0.5", "700"],
    ]
    variant = variant_of(imported(as_csv(rows, headings)).text)
    assert list(variant.cables["W12"].cores) == ["1", "2"]
    assert [(wire.core, wire.colour, str(wire.size)) for wire in variant.wires] == [
        ("W12.1", "sw", "0.5 mm2"),
        ("W12.2", None, "None"),
        ("W_12.2_1", "rt", "0.5 mm2"),
    ]


def test_what_wires_share_stands_on_the_circuit() -> None:
    rows = [
        ["1", "9", "X", "1", "S", "", "sw", "0.5", "10"],
        ["2", "9", "X", "2", "S", "", "sw", "1", "10"],
        ["3", "9", "X", "3", "S", "", "", "1", "10"],
        ["1", "8", "X", "4", "S", "", "sw", "1", "10"],
        ["2", "8", "X", "5", "S", "", "rt", "1", "10"],
    ]
    text = imported(as_csv(rows)).text
    assert "circuit 9 sw in main {" in text
    assert "circuit 8 1 mm2 in main {" in text
    assert [row.colour for row in model_rows(text)] == ["sw", "sw", None, "sw", "rt"]


def test_sheets_hold_what_can_be_read() -> None:
    rows = [
        [str(n), f"{letter}.{n // 5}.x", "X", f"{letter}{n}", "S", "", "sw", "1", "10"]
        for letter in "ABC"
        for n in range(50)
    ]
    rows += [[str(n), "BIG", "X", f"big{n}", "S", "", "sw", "1", "10"] for n in range(60)]
    variant = variant_of(imported(as_csv(rows)).text)
    on_sheets = [word.text for sheet in variant.sheets.values() for word, _ in sheet.circuits]
    assert on_sheets == list(variant.circuits)
    for sheet in variant.sheets.values():
        wires_on_it = [w for word, _ in sheet.circuits for w in variant.wires_of_circuit(word.text)]
        assert len(wires_on_it) <= WIRES_PER_SHEET or [word.text for word, _ in sheet.circuits] == ["BIG"]
    assert len(variant.sheets) == 9


def test_types_of_wire_and_notes_are_kept() -> None:
    headings = ["wire", "circuit", "from", "to", "wire type", "Bemerkung"]
    rows = [
        ["1", "1", "A:1", "B:1", "FLRY-B", 'say "cut" here'],
        ["2", "1", "A:2", "B:2", "Typ mit Blank", "-"],
        ["3", "1", "A:3", "B:3", "individual wire", ""],
    ]
    one, two, three = variant_of(imported(as_csv(rows, headings)).text).wires
    assert (one.words["type"], one.notes) == ("FLRY-B", ('say "cut" here',))
    assert two.notes == ("wire type in the list: Typ mit Blank",)
    assert (dict(three.words), three.notes) == ({}, ())


def test_fuses_are_kept_as_far_as_they_are_given() -> None:
    fuses = (
        b"fuse,description,rating,type,holder\n"
        b"F1,Horn,Type_C 7.5A,,X1\nF2,Lamp,10 A,mini,\nF3,Pump,,,\nF4,Odd,7.5A or 10A,,\nF1,Again,5 A,,\n,None,5 A,,\n"
    )
    done = imported(wires(("X1", "1", "X1", "2")), items("X1,,Plug,2"), fuses)
    devices = variant_of(done.text).devices
    assert [(devices[f].ratings.get("current"), devices[f].word("type")) for f in ("F1", "F2", "F3", "F4")] == [
        (7.5, "blade"), (10.0, "mini"), (None, ""), (None, ""),
    ]  # fmt: skip
    assert devices["F1"].notes == ("holder in the list: X1",)
    assert [(r.line, r.value) for r in done.remarks if r.file == "fuses.csv"][-2:] == [(6, "F1"), (7, "")]


def test_items_given_twice_or_without_id_are_told() -> None:
    done = imported(wires(("X1", "1", "X1", "2")), items("X1,,Plug,2", "X1,,Other,3", ",,None,1", "X2,flux,Odd,900000"))
    variant = variant_of(done.text)
    assert variant.devices["X1-unit"].title == "Plug"
    assert [(r.line, r.column) for r in done.remarks] == [(3, "item"), (4, "item"), (5, "kind"), (5, "cavities")]


@pytest.mark.parametrize("name", ["A1", "XA.656.1", "K7:1", "V.15B.", "VT*", "ä", "1A", "+"])
def test_legal_names(name: str) -> None:
    assert is_item(name)
    assert is_circuit(name)
    assert is_segment(name)


@pytest.mark.parametrize("name", ["", "a b", "a--b", "?", "#", "a;b", "{", '"x"', "-x", "(1, 2)"])
def test_names_that_are_none(name: str) -> None:
    tests = (is_item, is_circuit, is_segment, is_terminal, is_core, is_listable)
    assert not any(test(name) for test in tests)


def test_words_that_mean_something_where_they_would_stand() -> None:
    assert not is_segment("note")
    assert is_item("note")
    assert not is_terminal("rest")
    assert not is_terminal("1..4")
    assert is_terminal("1A")
    assert not is_listable("1A")


@pytest.mark.parametrize("word", sorted(set(FOLLOWS) - {"--"}))
def test_words_of_the_language_can_be_names(word: str) -> None:
    row = [word, word, word, word, "X2", word, "sw", "1", "100"]
    done = imported(as_csv([row, ["2", "1", "X2", "b", word, "c", "sw", "1", "100"]]), items("X2,,Plug,"))
    assert len(variant_of(done.text).wires) == 2
