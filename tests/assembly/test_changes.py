"""`omit`, `replace`, `extend`: how a variant differs from its fragments."""

from __future__ import annotations

from pathlib import Path

from tests.assembly.sources import assembled, said, variant_of

SHARED = """
harness a
harness b
connector C1 4 cavities a -- b { spare 4 }
fuse-block FB1 {
  bus B1
  fuse F1 slot 1 10 A from B1
  relay K1 slot R1 { coil 85 86 90 ohm; contact 30 87 when energised }
}
module A1 { connector C9 2 cavities; pin C9.1 input; pin C9.2 input }
circuit 48 1 mm2 BK in a {
  A  F1.2 -- C1.1  1 m
  B  C1.1 -- A1.C9.1  1 m  in b
  C  C1.2 -- C9.1  1 m
}
circuit 49 1 mm2 RD in b { A  C1.1 -- C9.2 }
sheet 1 { circuits 48 49; components K1; see 2 }
sheet 2 { circuits 48 }
twist TP1 { wires 48A 48C }
"""


def project(text: str) -> dict[str, str]:
    return {"S4.loom": f'variant S4\nuse "shared.loom"\n{text}', "shared.loom": SHARED}


def test_what_is_omitted_is_gone_with_what_stands_in_it(tmp_path: Path) -> None:
    variant = variant_of(tmp_path, project("omit FB1 A1 TP1\nomit sheet 2\nomit wire 48A 48C"))
    assert set(variant.items) == {"C1"}
    assert [wire.id for wire in variant.wires] == ["48B", "49A"]
    assert set(variant.omitted) >= {("item", "FB1"), ("sheet", "2"), ("wire", "48A")}


def test_lists_of_a_fragment_let_go_of_what_is_omitted(tmp_path: Path) -> None:
    variant = variant_of(tmp_path, project("omit circuit 49\nomit sheet 2\nomit K1\nomit wire 48C"))
    sheet = variant.sheets["1"]
    assert [word.text for word, _ in sheet.circuits] == ["48"]
    assert (sheet.components, sheet.see) == ((), ())
    assert [word.text for word in variant.twists["TP1"].wires] == ["48A"]
    assert variant.unresolved == ()


def test_omitting_twice_is_meant_once(tmp_path: Path) -> None:
    assert variant_of(tmp_path, project("omit K1\nomit K1 F1\nomit F1")).unresolved == ()


def test_omitting_what_is_not_there_is_noted(tmp_path: Path) -> None:
    done = assembled(tmp_path, project("omit K2 KI\nomit circuit 50\nomit wire 48Z\nomit sheet 3"))
    assert done.variant is not None
    noted = [(name.name, name.sort, name.near) for name in done.variant.unresolved]
    assert noted == [
        ("K2", "item to omit", "K1"),
        ("KI", "item to omit", "K1"),
        ("50", "circuit to omit", ""),
        ("3", "sheet to omit", ""),
        ("48Z", "wire to omit", ""),
    ]


def test_a_replacement_takes_the_place_and_the_order_of_the_old_one(tmp_path: Path) -> None:
    files = project('replace relay K1 "Heavy" { coil 85 86 60 ohm }\nreplace module A1 { pin 1 supply }')
    variant = variant_of(tmp_path, files)
    relay = variant.devices["K1"]
    assert (relay.title, relay.block, len(relay.parts)) == ("Heavy", "FB1", 1)
    assert list(variant.devices) == ["F1", "K1", "A1"]
    assert "C9" not in variant.connectors


def test_a_replacement_may_be_of_another_sort(tmp_path: Path) -> None:
    variant = variant_of(tmp_path, project("replace ground K1"))
    assert "K1" in variant.grounds
    assert "K1" not in variant.devices


def test_a_replaced_segment_keeps_its_place(tmp_path: Path) -> None:
    files = project("extend circuit 48 { replace A  F1.2 -- C1.3  2 m; D  C1.3 -- C9.2  1 m  in b }")
    variant = variant_of(tmp_path, files)
    ids = [(wire.id, wire.length_m) for wire in variant.wires_of_circuit("48")]
    assert ids == [("48A", 2.0), ("48B", 1.0), ("48C", 1.0), ("48D", 1.0)]


def test_a_replaced_segment_that_is_not_there_is_noted(tmp_path: Path) -> None:
    done = assembled(tmp_path, project("extend circuit 48 { replace Z  F1.2 -- C1.3  2 m }"))
    assert done.variant is not None
    assert [(n.name, n.sort) for n in done.variant.unresolved] == [("Z", "segment of circuit 48 to replace")]


def test_an_extension_adds_lines(tmp_path: Path) -> None:
    files = project(
        "extend connector C1 { spare 3 on b }\n"
        'extend fuse-block FB1 { fuse F2 "Work lamp" slot 2 15 A from B1 }\n'
        "extend sheet 2 { circuits 49 }\n"
        "extend circuit 49 { B  C1.2 -- F2.2  in a }"
    )
    variant = variant_of(tmp_path, files)
    assert {name: set(halves) for name, halves in variant.connectors["C1"].spare.items()} == {"4": {0, 1}, "3": {1}}
    assert variant.devices["F2"].block == "FB1"
    assert [word.text for word, _ in variant.sheets["2"].circuits] == ["48", "49"]
    assert [wire.id for wire in variant.wires_of_circuit("49")] == ["49A", "49B"]
    assert variant.wires_of_circuit("49")[1].colour == "RD"


def test_a_replacement_inside_an_extension_counts(tmp_path: Path) -> None:
    files = project("extend fuse-block FB1 { replace fuse F1 slot 1 30 A from B1 }")
    assert variant_of(tmp_path, files).devices["F1"].ratings["current"] == 30


def test_an_extension_of_what_is_replaced_extends_the_new_one(tmp_path: Path) -> None:
    files = project("extend connector C1 { spare 2 }\nreplace connector C1 8 cavities a -- b { spare 8 }")
    assert set(variant_of(tmp_path, files).connectors["C1"].spare) == {"8", "2"}


def test_extending_and_replacing_what_is_not_there_is_noted(tmp_path: Path) -> None:
    done = assembled(tmp_path, project("extend connector CI { spare 1 }\nreplace relay K9 { coil 1 2 }"))
    assert done.variant is not None
    noted = {(n.name, n.sort, n.near) for n in done.variant.unresolved}
    assert noted == {("CI", "item to extend", "C1"), ("K9", "item to replace", "K1")}


def test_an_extension_must_be_of_the_right_sort_and_add_something(tmp_path: Path) -> None:
    done = assembled(
        tmp_path,
        project(
            "extend connector K1 { spare 1 }\n"
            "extend lamp K1 { spare 1 }\n"
            "extend connector C1\n"
            "extend connector C1 8 cavities { spare 2 }\n"
            'use "shared.loom"'
        ),
    )
    assert said(done) == [
        ("syntax", "S4.loom:3:8", "K1 is a relay, not a connector"),
        ("syntax", "S4.loom:4:8", "K1 is a relay, not a lamp"),
        ("syntax", "S4.loom:5:1", "`extend` without a block adds nothing"),
        ("syntax", "S4.loom:6:21", "`extend` adds lines; what stands before its brace is not taken over"),
    ]


def test_the_first_of_two_declarations_counts(tmp_path: Path) -> None:
    done = assembled(tmp_path, project("circuit 48 2.5 mm2 RD { Z  F1.2 -- C9.1 }\nground F1"))
    assert done.variant is not None
    assert done.variant.circuits["48"].colour == "BK"
    assert [wire.segment for wire in done.variant.wires_of_circuit("48")] == ["A", "B", "C"]
    (circuit, fuse) = done.variant.duplicates
    assert (circuit.sort, circuit.first_sort, circuit.id) == ("circuit", "circuit", "48")
    assert circuit.dropped.text.startswith("circuit 48 2.5 mm2 RD {")
    assert (fuse.sort, fuse.first_sort) == ("ground", "fuse")
    assert [str(place) for place in (fuse.first, fuse.second)] == ["shared.loom:7:8", "S4.loom:4:8"]
