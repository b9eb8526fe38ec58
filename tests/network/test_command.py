"""`loomwright measure`: what it prints and what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from loomwright.program import cli
from tests.network.test_faults import CIRCUIT


@pytest.fixture
def variant(tmp_path: Path) -> str:
    path = tmp_path / "S4.loom"
    path.write_text(f"variant S4\n{CIRCUIT}", "utf-8")
    return str(path)


def output(*arguments: str) -> str:
    result = CliRunner().invoke(cli, ["measure", *arguments], catch_exceptions=False, standalone_mode=False)
    return result.stdout


def test_both_halves_of_a_cavity_are_read(variant: str) -> None:
    text = output(variant, "--set", "S1=on", "C1.1")
    rows = [line.split() for line in text.splitlines() if line.startswith("C1.1 ") and line.endswith("V")]
    assert [row[1] for row in rows] == ["body", "tail"]
    assert all(11.7 < float(row[3]) < 12 for row in rows)


def test_without_a_place_the_fuses_are_read(variant: str) -> None:
    text = output(variant, "--set", "S1=on")
    assert "battery BT1" in text
    assert "fuse F1" in text
    assert "20 A" in text


def test_a_planted_open_and_a_planted_resistance(variant: str) -> None:
    opened = output(variant, "--set", "S1=on", "--open", "1C", "R1.1")
    assert "0.000 V" in opened
    lossy = json.loads(output(variant, "--set", "S1=on", "--ohms", "1C=1 ohm", "--format", "json", "R1"))
    (flow,) = lossy["readings"][0]["currents"]
    assert flow["branch"] == "heater R1"
    assert flow["drop"] == pytest.approx(8, abs=0.25)


def test_a_short_opens_the_fuse_and_says_so(variant: str) -> None:
    assert "fuse F1 opens" in output(variant, "--set", "S1=on", "--short", "1C")
    held = json.loads(output(variant, "--set", "S1=on", "--short", "1C", "--fuses-hold", "--format", "json", "F1"))
    assert held["blown"] == []
    assert held["readings"][0]["currents"][0]["amperes"] > 200


def test_ohms_between_two_places(variant: str) -> None:
    data = json.loads(output(variant, "--between", "R1.1", "R1.2", "--between", "F1.2", "R1.1", "--format", "json"))
    assert [row["ohm"] for row in data["ohms"]] == [pytest.approx(2.0, abs=0.001), None]
    assert "open" in output(variant, "--between", "F1.2", "R1.1")


def test_the_shape_of_the_json(variant: str) -> None:
    arguments = ("--set", "S1=on", "--short", "1D", "--between", "F1.1", "F1.2", "--format", "json", "C1.1", "R1")
    data = json.loads(output(variant, *arguments))
    assert {key: type(value) for key, value in data.items()} == {
        "version": int,
        "variant": str,
        "state": dict,
        "faults": list,
        "energised": list,
        "flashing": list,
        "blown": list,
        "unrest": list,
        "sources": list,
        "fuses": list,
        "readings": list,
        "ohms": list,
        "assumed": list,
    }
    assert (data["state"], data["faults"], data["blown"]) == ({"S1": "on"}, ["1D short"], ["fuse F1"])
    cavity, heater = data["readings"]
    assert [point["point"] for point in cavity["points"]] == ["C1.1 body side", "C1.1 tail side"]
    assert all(isinstance(point["volts"], float) for point in cavity["points"])
    (flow,) = heater["currents"]
    assert flow == {
        "branch": "heater R1",
        "ends": ["R1.1", "R1.2"],
        "amperes": flow["amperes"],
        "drop": flow["drop"],
        "rating": None,
        "open": False,
    }
    assert heater["touching"] == {"S1": "on"}
    assert data["ohms"][0]["between"] == ["F1.1", "F1.2"]
    assert all(set(row) == {"what", "value", "why"} for row in data["assumed"])


def test_a_floating_half_and_unrest_in_json(tmp_path: Path) -> None:
    path = tmp_path / "x.loom"
    text = """variant X
battery BT1 12 V 0 ohm
relay K1 { coil 86 85 90 ohm; contact 30 87a when at-rest }
circuit 1 2 mm2 RD { A BT1.+ -- K1.30 1 m; B K1.87a -- K1.86 1 m; C K1.85 -- BT1.- 1 m; D E1 -- E2 1 m }
ring-terminal E1
ring-terminal E2
"""
    path.write_text(text, "utf-8")
    data = json.loads(output(str(path), "--format", "json", "E1"))
    assert data["readings"][0]["points"] == [{"point": "E1.1", "volts": None}]
    assert data["unrest"] == [{"kind": "chatter", "relays": ["K1"]}]


def test_a_race_tells_both_its_ends(tmp_path: Path) -> None:
    path = tmp_path / "x.loom"
    text = """variant X
battery BT1 12 V 0 ohm
splice SP1
splice SP2
relay K1 { coil 86 85 90 ohm; contact 30 87a when at-rest }
relay K2 { coil 86 85 90 ohm; contact 30 87a when at-rest }
circuit 1 2 mm2 RD {
  A BT1.+ -- SP1 1 m
  B SP1 -- K1.30 1 m
  C SP1 -- K2.30 1 m
  D K1.87a -- K2.86 1 m
  E K2.87a -- K1.86 1 m
  F K1.85 -- SP2 1 m
  G K2.85 -- SP2 1 m
  H SP2 -- BT1.- 1 m
}
"""
    path.write_text(text, "utf-8")
    (found,) = json.loads(output(str(path), "--format", "json"))["unrest"]
    assert found["kind"] == "race"
    assert sorted(found["ends"]) == [["K1"], ["K2"]]


def test_a_state_of_the_source_is_set_by_name_and_changed_by_hand(tmp_path: Path) -> None:
    path = tmp_path / "S4.loom"
    path.write_text(f'variant S4\n{CIRCUIT}state "Heating" {{ set S1 on }}\nstate "Off" {{ set S1 off }}\n', "utf-8")
    source = str(path)
    assert json.loads(output(source, "--state", "Heating", "--format", "json"))["state"] == {"S1": "on"}
    for more in (("--state", "Off"), ("--set", "S1=off")):
        assert json.loads(output(source, "--state", "Heating", *more, "--format", "json"))["state"] == {"S1": "off"}
    result = CliRunner().invoke(cli, ["measure", source, "--state", "Heatin"])
    assert str(result.exception) == "there is no state Heatin; did you mean Heating?"


def test_what_has_a_say_in_a_circuit_is_told_with_its_position(variant: str) -> None:
    assert "what has a say in circuit 1: S1 off" in output(variant, "circuit 1")
    assert "what has a say in R1: S1 on" in output(variant, "--set", "S1=on", "R1")


def test_an_open_a_short_and_a_resistance_at_one_time(variant: str) -> None:
    """Faults go on top of each other: with the fuse held, a resistance in line bounds what a short draws."""
    arguments = ("--set", "S1=on", "--short", "R1", "--ohms", "1B=2 ohm", "--fuses-hold", "--format", "json", "F1")
    data = json.loads(output(variant, *arguments))
    assert data["faults"] == ["R1 short", "1B high-resistance, 2 ohm"]
    assert data["readings"][0]["currents"][0]["amperes"] == pytest.approx(12 / 2, rel=0.05)
    cut = json.loads(output(variant, *arguments[:-1], "--open", "1A", "F1"))
    assert cut["readings"][0]["currents"][0]["amperes"] == 0


def test_ohms_are_read_with_the_power_off_and_the_switches_as_set(variant: str) -> None:
    def between(*more: str) -> float | None:
        value: float | None = json.loads(output(variant, "--between", "F1.2", "R1.2", "--format", "json", *more))[
            "ohms"
        ][0]["ohm"]
        return value

    assert between() is None
    assert between("--set", "S1=on") == pytest.approx(2.0, abs=0.05)
    assert between("--set", "S1=on", "--ohms", "1B=500 mohm") == pytest.approx(2.5, abs=0.05)
    assert between("--set", "S1=on", "--open", "1B") is None


def test_json_is_the_same_every_time_and_says_what_was_set(variant: str) -> None:
    arguments = (variant, "--set", "S1=on", "--format", "json", "circuit 1")
    first = output(*arguments)
    assert first == output(*arguments)
    data = json.loads(first)
    assert data["variant"] == "S4"
    assert data["state"] == {"S1": "on"}
    assert len(data["readings"][0]["currents"]) == 4


def test_a_warm_wire_loses_more(variant: str) -> None:
    def drop(*more: str) -> float:
        data = json.loads(output(variant, "--set", "S1=on", "--format", "json", "1C", *more))
        return float(data["readings"][0]["currents"][0]["drop"])

    assert drop("--temperature", "60") == pytest.approx(drop() * (1 + 0.00393 * 40), rel=0.01)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("--set", "S1=up"), "S1 has no position up; it has off, on"),
        (("--set", "S1"), "S1: write it as NAME=POSITION"),
        (("C9.1",), "there is no C9.1"),
        (("--open", "R1.1"), "R1.1: no current runs through a bare point"),
        (("--ohms", "1C=much"), "much: not a resistance"),
    ],
)
def test_what_cannot_be_asked_is_refused(variant: str, arguments: tuple[str, ...], message: str) -> None:
    result = CliRunner().invoke(cli, ["measure", variant, *arguments])
    assert message in str(result.exception)


def test_assumed_values_are_listed(tmp_path: Path) -> None:
    path = tmp_path / "x.loom"
    path.write_text("variant X\nbattery BT1 12 V\nlamp E1 1 2\ncircuit 1 RD { A  BT1.+ -- E1.1 }\n", "utf-8")
    text = output(str(path))
    for words in ("wire 1A: 1 mm2, 1 m", "lamp E1: 5 W", "battery BT1: 6 mohm"):
        assert words in text
