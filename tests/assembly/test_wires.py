"""Circuits and wires: what is inherited, what is said, and where ends land."""

from __future__ import annotations

from pathlib import Path

import pytest

from compiler.assembly.wires import wire_id
from compiler.model.items import Point
from tests.assembly.sources import assembled, variant_of

ITEMS = """
harness a
harness b
connector C1 4 cavities a -- b
splice SP1
ground G1
bus B1
lamp E1 1 2 5 W
lamp E2 1 2 5 W { connector C2 2 cavities }
horn H1 1 case chassis 60 W
ring-terminal T1
motor M1 + 31 30 W
printed-circuit A2 { connector C3 4 cavities; trace L1 L2 }
module A1 { connector C201 4 cavities; connector C202 4 cavities; pin C201.1 input; pin C202.1 input }
ground XA.656
cable W1 in b { core 1 0.5 mm2 WH; core 2 }
"""


@pytest.mark.parametrize(
    ("written", "harness", "point", "problem"),
    [
        ("SP1", "", Point("SP1", ""), ""),
        ("G1", "", Point("G1", ""), ""),
        ("B1", "a", Point("B1", ""), ""),
        ("XA.656", "", Point("XA.656", ""), ""),
        ("E1.2", "", Point("E1", "2"), ""),
        ("M1.+", "", Point("M1", "+"), ""),
        ("T1", "", Point("T1", "1"), ""),
        ("E2.1", "", Point("C2", "1"), ""),
        ("C2.1", "b", Point("C2", "1"), ""),
        ("C1.3", "a", Point("C1", "3", 0), ""),
        ("C1.3", "b", Point("C1", "3", 1), ""),
        ("C201.1", "", Point("C201", "1"), ""),
        ("C201.4", "", Point("C201", "4"), ""),
        ("A2.L1", "", Point("A2", "L1"), ""),
        ("A2.4", "", Point("C3", "4"), ""),
        ("?", "", None, "not-known"),
        ("E1", "", None, "no-such-terminal"),
        ("E1.3", "", None, "no-such-terminal"),
        ("A1.1", "", None, "no-such-terminal"),
        ("C1.5", "a", None, "out-of-range"),
        ("C1", "a", None, "out-of-range"),
        ("C1.1", "", None, "no-harness"),
        ("SP1.1", "", None, "no-such-item"),
        ("E9.1", "", None, "no-such-item"),
        ("W1", "", None, "no-such-item"),
        ("A1.C201.1", "", None, "no-such-item"),
    ],
)
def test_where_an_end_lands(tmp_path: Path, written: str, harness: str, point: Point | None, problem: str) -> None:
    within = f" in {harness}" if harness else ""
    done = assembled(tmp_path, f"{ITEMS}circuit 1{within} {{ A  {written} -- G1 }}")
    assert done.variant is not None
    end = done.variant.wires[0].a
    assert (end.point, end.problem) == (point, problem)
    assert end.written.text == written


def test_a_harness_that_is_neither_half(tmp_path: Path) -> None:
    variant = variant_of(tmp_path, f"{ITEMS}harness c\ncircuit 1 in c {{ A  C1.1 -- G1 }}")
    assert variant.wires[0].a.problem == "wrong-harness"


def test_what_a_wire_does_not_say_comes_from_its_circuit(tmp_path: Path) -> None:
    text = """
circuit 48 "Rear screen" 2.5 mm2 BK/WH in a class headlamp {
  A  E1.1 -- G1  1 m
  B  E1.2 -- G1  20 cm  14 AWG  RD  in b  recoloured "why"  type FLRY-B  note "short"
}
"""
    variant = variant_of(tmp_path, ITEMS + text)
    a, b = variant.wires
    assert (a.id, a.circuit, a.segment) == ("48A", "48", "A")
    assert (str(a.size), a.colour, a.length_m, a.harness, a.own_colour) == ("2.5 mm2", "BK/WH", 1.0, "a", False)
    assert (str(b.size), b.colour, b.length_m, b.harness, b.own_colour) == ("14 AWG", "RD", 0.2, "b", True)
    assert (b.recoloured, b.words["type"], b.notes) == ("why", "FLRY-B", ("short",))
    assert (a.colour_at.text, a.size_at.text) == ("BK/WH", "2.5 mm2")
    assert (b.colour_at.text, b.size_at.text) == ("RD", "14 AWG")
    assert variant.circuits["48"].class_ == "headlamp"


def test_what_is_not_known_stays_so_unless_the_wire_says_it(tmp_path: Path) -> None:
    text = """
circuit 1 1 mm2 RD colour ? size ? {
  A  E1.1 -- G1
  B  E1.2 -- G1  2.5 mm2  BK
  C  G1 -- T1    BU  length ?
  D  G1 -- T1    core W1.1
}
"""
    variant = variant_of(tmp_path, ITEMS + text)
    facts = [(wire.unknown, str(wire.size or ""), wire.colour) for wire in variant.wires]
    assert variant.circuits["1"].unknown == ("colour", "size")
    assert facts == [
        (("colour", "size"), "", None),
        ((), "2.5 mm2", "BK"),
        (("size", "length"), "", "BU"),
        ((), "0.5 mm2", "WH"),
    ]


def test_a_wire_that_is_a_core_takes_what_the_core_says(tmp_path: Path) -> None:
    text = """
circuit 1 1 mm2 RD {
  A  E1.1 -- G1  core W1.1
  B  E1.2 -- G1  core W1.2  in a
  C  G1 -- T1    core W1.1  BU
}
"""
    variant = variant_of(tmp_path, ITEMS + text)
    facts = [(str(w.size), w.colour, w.own_colour, w.harness, w.core) for w in variant.wires]
    assert facts == [
        ("0.5 mm2", "WH", True, "b", "W1.1"),
        ("1 mm2", "RD", False, "a", "W1.2"),
        ("0.5 mm2", "WH", True, "b", "W1.1"),
    ]
    assert variant.wires[2].colour_at.text == "BU", "what was written stays to be compared"


@pytest.mark.parametrize(
    ("circuit", "segment", "id_"),
    [
        ("48", "B", "48B"),
        ("48", "1", "48-1"),
        ("V.15B", "1", "V.15B-1"),
        ("V.15B.", "-1", "V.15B.--1"),
        ("K", "A", "K-A"),
    ],
)
def test_a_wire_id_keeps_circuit_and_segment_apart(circuit: str, segment: str, id_: str) -> None:
    assert wire_id(circuit, segment) == id_


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("A  E1.1 -- G1  1 m 2 m", "a wire has one length"),
        ("A  E1.1 -- G1  1 mm2 2.5 mm2", "a wire has one size"),
        ("A  E1.1 -- G1  RD BK", "a wire has one colour"),
        ("A  E1.1 -- G1  5 A", "a wire takes a size and a length, not 5 A"),
        ("A  E1.1 -- G1  0 m", "a wire cannot be 0 m long"),
    ],
)
def test_what_a_wire_cannot_say(tmp_path: Path, line: str, says: str) -> None:
    done = assembled(tmp_path, f"{ITEMS}circuit 1 {{ {line} }}")
    assert [finding.says for finding in done.findings] == [says]
    assert done.variant is not None
    assert len(done.variant.wires) == 1


def test_cores_of_a_cable(tmp_path: Path) -> None:
    cable = variant_of(
        tmp_path, "harness a\ncable W9 in a { core 1 0.5 mm2 WH; core 2 BN spare; shield S 0.35 mm2; twist 1 2 }"
    ).cables["W9"]
    facts = [(c.name, str(c.size or ""), c.colour, c.is_shield, c.spare) for c in cable.cores.values()]
    assert facts == [
        ("1", "0.5 mm2", "WH", False, False),
        ("2", "", "BN", False, True),
        ("S", "0.35 mm2", None, True, False),
    ]
    assert cable.twists == (("1", "2"),)
