"""Expectations: what each word means, and what is told when one does not hold."""

from __future__ import annotations

from pathlib import Path

import pytest

from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from compiler.checks.run import check_variant
from compiler.network.expect import run_scenario
from tests.network.circuits import network_of

TEXT = """
battery BT1 12 V 0 ohm
fuse F1 20 A
switch S1 { positions off dim on; contact 1 2 when on; contact 1 3 when dim }
resistor R2 1 2 2 ohm
heater R1 1 2 72 W
relay K1 { coil 86 85 90 ohm; contact 30 87 when energised }
lamp E1 1 2 5 W
splice SP1
splice SP2
splice SP3
circuit 1 2.5 mm2 RD {
  A  BT1.+ -- F1.1  0.1 m
  B  F1.2 -- SP1  1 m
  C  SP1 -- S1.1  1 m
  D  S1.2 -- SP3  1 m
  E  S1.3 -- R2.1  1 m
  F  R2.2 -- SP3  1 m
  G  SP3 -- R1.1  1 m
  H  SP3 -- K1.86  1 m
  I  SP1 -- K1.30  1 m
  K  K1.87 -- E1.1  1 m
}
circuit 2 2.5 mm2 BK {
  A  R1.2 -- SP2  1 m
  B  K1.85 -- SP2  1 m
  C  E1.2 -- SP2  1 m
  D  SP2 -- BT1.-  1 m
}
"""

ALL_OFF = "R1 dead, R1 stopped, E1 out, K1 at-rest, R1.1 dead, F1 below 0.1 A, R1.1 below 0.1 V, R1 below 1 V"
ALL_ON = (
    "R1 powered, R1 runs, E1 lit, K1 energised, R1.1 powered, F1.2 above 11.9 V, F1 between 6 A and 7 A,"
    " R1 above 11.5 V, R1 between 11.5 V and 12 V, R1 below 2.1 ohm"
)
DIM = "R1 weak, R1 powered, R1 between 5.5 V and 6.2 V, R1.1 above 5 V"


@pytest.mark.parametrize(("position", "facts"), [("off", ALL_OFF), ("on", ALL_ON), ("dim", DIM)])
def test_what_is_so_holds(position: str, facts: str) -> None:
    network = network_of(f'{TEXT}expect "x" {{ set S1 {position}\n then {facts} }}\n')
    ran = run_scenario(network, network.variant.scenarios[0])
    assert {str(row.fact.subject): row.reading for row in ran.outcomes if not row.held} == {}


@pytest.mark.parametrize(("position", "facts"), [("on", ALL_OFF), ("off", ALL_ON), ("off", DIM), ("on", "R1 weak")])
def test_what_is_not_so_does_not_hold(position: str, facts: str) -> None:
    network = network_of(f'{TEXT}expect "x" {{ set S1 {position}\n then {facts} }}\n')
    ran = run_scenario(network, network.variant.scenarios[0])
    wrong = {(row.fact.subject, *row.fact.words) for row in ran.outcomes if row.held}
    # These two are of the circuit's parts, not of its state.
    assert wrong <= {("F1.2", "above", "11.9 V"), ("R1", "below", "2.1 ohm")}


def findings(folder: Path, expectation: str) -> list[tuple[str, list[str]]]:
    """Words and notes of each `expectation-failed`."""
    path = folder / "x.loom"
    path.write_text(f"variant X\n{TEXT}{expectation}\n", "utf-8")
    checked = check_variant(Library(find_project(path)), path)
    failed = [finding for finding in checked.findings if finding.check == "expectation-failed"]
    return [(finding.says, [note.says for note in finding.notes]) for finding in failed]


def test_a_failure_tells_the_reading_the_open_contact_and_the_way(tmp_path: Path) -> None:
    ((says, notes),) = findings(tmp_path, 'expect "it lights" { set S1 off\n then E1 lit }')
    assert says == "with S1 off, `E1 lit` does not hold: E1 reads 0.00 V across it, rated 12 V"
    assert notes == [
        "contact K1 30-87 is open: 12.00 V before it, 0.00 V behind; K1 is at rest, its coil gets 0.00 V",
        "its way: F1, K1",
    ]


def test_a_failure_for_want_of_voltage_tells_where_it_went(tmp_path: Path) -> None:
    ((says, notes),) = findings(tmp_path, 'expect "full heat" { set S1 dim\n then R1 above 11 V }')
    assert "`R1 above 11 V` does not hold: R1 reads 5." in says
    assert "is lost in resistor R2" in notes[0]
    assert notes[-1] == "its way: F1, S1, R2"


def test_a_failure_of_something_that_should_be_dead_tells_how_it_gets_through(tmp_path: Path) -> None:
    ((says, notes),) = findings(tmp_path, 'expect "cold" { set S1 on\n then R1 dead }')
    assert "`R1 dead` does not hold" in says
    assert any("gets through contact S1 1-2" in note for note in notes)


def test_a_state_that_cannot_be_solved_is_told(tmp_path: Path) -> None:
    second = "battery BT2 6 V 0 ohm\n"
    join = "circuit 3 1000 mm2 RD { A  BT2.- -- BT1.-  1 mm }\n"
    path = tmp_path / "x.loom"
    path.write_text(f'variant X\n{TEXT}{second}{join}expect "x" {{ set S1 on\n then R1 powered }}\n', "utf-8")
    checked = check_variant(Library(find_project(path)), path)
    assert [f.check for f in checked.findings if f.check in ("expectation-failed", "check-crashed")] == []


def test_a_name_that_stands_for_nothing_is_told_once(tmp_path: Path) -> None:
    path = tmp_path / "x.loom"
    path.write_text(f'variant X\n{TEXT}expect "x" {{ set S9 on\n then R1 powered }}\n', "utf-8")
    checked = check_variant(Library(find_project(path)), path)
    named = [finding.check for finding in checked.findings if "S9" in finding.says]
    assert named == ["unknown-name"]


def test_a_running_alternator_can_be_set_in_source() -> None:
    text = """
battery BT1 12.6 V 5 mohm
alternator G1 B+ D+ case engine 14.2 V 90 A
structure engine
ground G2 on engine
circuit 1 16 mm2 RD { A  BT1.+ -- G1.B+  1 m }
circuit 2 16 mm2 BK { A  BT1.- -- G2  1 m }
expect "it charges" { set G1 running
 then BT1.+ above 13 V }
expect "it stands" { set G1 standing
 then BT1.+ between 12.5 V and 12.7 V }
"""
    network = network_of(text)
    assert all(row.held for scenario in network.variant.scenarios for row in run_scenario(network, scenario).outcomes)
