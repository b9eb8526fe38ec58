"""`loomwright trace`: a way as a person and as a program sees it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.loomwright.conftest import Make, Run

SOURCE = """\
variant T1 "Truck" { supply 12.6 V }
harness body
harness tailgate
zone cab "Cab" 200 by 100
battery BT1 "Battery" 12.6 V 70 Ah at cab (1, 1) "under the seat" access 2 min
ground G1 "Floor" at cab (2, 2)
fuse F1 "Horn" 10 A blade at cab (3, 3)
connector C40 "Hinge" 2 cavities body -- tailgate at cab (4, 4) { spare 2 }
horn H1 "Horn" 1 2 60 W at cab (5, 5)
lamp E9 "Lamp" 1 2 5 W at cab (6, 6)
splice SP1 "Feed" in tailgate at cab (7, 7)
circuit 1 "Feed" 1 mm2 RD in body {
  A  BT1.+ -- F1.1   1 m
  B  F1.2  -- C40.1  0.5 m
  C  C40.1 -- SP1    0.25 m  in tailgate
  D  SP1   -- H1.1   1 m     in tailgate
  E  SP1   -- E9.1   1 m     in tailgate
}
circuit 2 "Ground" 1 mm2 BN in body {
  A  H1.2  -- G1  1 m  in tailgate
  B  BT1.- -- G1  1 m
  C  E9.2  -- G1  length ?
}
sheet 1 "Horn" { circuits 1 2 }
"""


@pytest.fixture
def folder(make: Make) -> Path:
    return make({"T1.loom": SOURCE})


def test_a_way_is_told_place_by_place(folder: Path, run: Run) -> None:
    done = run("trace", "T1.loom", "F1.2", "H1.1", cwd=folder)
    assert (done.returncode, done.stderr) == (0, "")
    assert (
        done.stdout
        == """\
F1.2  Horn, Cab
  | wire 1B  RD  1 mm2  0.5 m  in body  sheet 1
C40.1 body side  Hinge, Cab
  | cavity
C40.1 tailgate side
  | wire 1C  RD  1 mm2  0.25 m  in tailgate  sheet 1
SP1  Feed, Cab
  | wire 1D  RD  1 mm2  1 m  in tailgate  sheet 1
H1.1  Horn, Cab

3 wires, 1.75 m
"""
    )


def test_a_potential_is_a_tree_that_indents_where_it_forks(folder: Path, run: Run) -> None:
    assert (
        run("trace", "T1.loom", "C40.1@body", cwd=folder).stdout
        == """\
C40.1 body side  Hinge, Cab
  wire 1B  RD  1 mm2  0.5 m  in body  sheet 1  to F1.2  Horn, Cab
    - fuse, 10 A, to F1.1
  cavity  to C40.1 tailgate side
  wire 1C  RD  1 mm2  0.25 m  in tailgate  sheet 1  to SP1  Feed, Cab
    wire 1D  RD  1 mm2  1 m  in tailgate  sheet 1  to H1.1  Horn, Cab
      - horn, 60 W, to H1.2
    wire 1E  RD  1 mm2  1 m  in tailgate  sheet 1  to E9.1  Lamp, Cab
      - lamp, 5 W, to E9.2

4 wires, 2.75 m
"""
    )


def test_what_is_not_one_circuit_is_said_and_lengths_not_known_too(folder: Path, run: Run) -> None:
    text = run("trace", "T1.loom", "E9.1", "G1", cwd=folder).stdout
    assert "lamp, 5 W in E9" in text
    assert "length ?" in text
    assert "1 wire, length not known" in text
    assert "passes the load of E9: the two places are not one circuit" in text


def test_a_trace_as_json(folder: Path, run: Run) -> None:
    data = json.loads(run("trace", "T1.loom", "F1.1", "SP1", "--format", "json", cwd=folder).stdout)
    assert (data["version"], data["variant"], data["start"], data["end"], data["length_m"]) == (
        1,
        "T1",
        "F1.1",
        "SP1",
        0.75,
    )
    (leg,) = data["legs"]
    assert [(s["what"], s["end"]["name"], s["end"]["side"]) for s in leg["steps"]] == [
        ("inside", "F1.2", ""),
        ("wire", "C40.1", "body side"),
        ("cavity", "C40.1", "tailgate side"),
        ("wire", "SP1", ""),
    ]
    wire = leg["steps"][1]
    assert (wire["wire"], wire["circuit"], wire["segment"], wire["colour"], wire["size"], wire["length_m"]) == (
        "1B", "1", "B", "RD", "1 mm2", 0.5,
    )  # fmt: skip
    assert leg["steps"][0]["says"] == "fuse, 10 A"
    tree = json.loads(run("trace", "T1.loom", "SP1", "--format", "json", cwd=folder).stdout)
    assert tree["end"] is None
    assert {step["wire"]: step["depth"] for step in tree["legs"][0]["steps"] if step["wire"]}["1D"] == 1


def test_no_way_between_ends_with_1(make: Make, run: Run) -> None:
    apart = "harness h\nring-terminal A\nring-terminal B\nring-terminal C\nring-terminal D\n"
    apart += "circuit 1 1 mm2 RD in h {\n A A -- B 1 m\n B C -- D 1 m\n}\n"
    folder = make({"T1.loom": 'variant T1 "T"\n' + apart})
    done = run("trace", "T1.loom", "A.1", "C.1", cwd=folder)
    assert (done.returncode, done.stdout) == (1, "nothing joins A.1 and C.1\n")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("T1.loom", "C41.1"), "nothing is called C41.1; did you mean C40.1?"),
        (("T1.loom", "H1.1", "H1.7"), "nothing is called H1.7"),
        (("T1.loom",), "missing argument 'FROM'"),
        (("T2.loom", "H1"), "T2.loom: no such file"),
        (("frag.loom", "H1"), "no variant can be read from it"),
    ],
)
def test_a_trace_that_cannot_run(folder: Path, run: Run, arguments: tuple[str, ...], says: str) -> None:
    (folder / "frag.loom").write_text("harness body\n", "utf-8")
    done = run("trace", *arguments, cwd=folder)
    assert (done.returncode, done.stdout) == (2, "")
    assert says in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_a_source_with_mistakes_is_traced_as_far_as_it_can_be_read(folder: Path, run: Run) -> None:
    (folder / "T1.loom").write_text(SOURCE + 'splice "\x1b[31munfinished\n', "utf-8")
    done = run("trace", "T1.loom", "F1.2", "H1.1", cwd=folder)
    assert done.returncode == 0
    assert "3 wires, 1.75 m" in done.stdout
    assert "has mistakes" in done.stderr


def test_colours_change_nothing_but_colours(folder: Path, run: Run) -> None:
    import re

    plain = run("trace", "T1.loom", "C40.1", cwd=folder).stdout
    coloured = run("trace", "T1.loom", "C40.1", "--color", "always", cwd=folder).stdout
    assert coloured != plain
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain
