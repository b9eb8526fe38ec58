"""`loomwright measure`: what it prints and what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from loomwright.cli import cli
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
