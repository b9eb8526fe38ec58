"""`loomwright isolate`: a search from the command line, step by step, kept and gone on with, and at a terminal."""

from __future__ import annotations

import json
import os
import pty
import select
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from loomwright.cli import main
from loomwright.program import cli

CIRCUIT = """\
variant T1 "Bench truck"
zone cab "Cab" 200 by 100
harness body "Body"
harness tail "Tail"
battery BT1 + - 12.6 V at cab (1, 1)
ground G1 on chassis at cab (5, 1)
structure chassis "Chassis"
fuse F1 1 2 20 A blade at cab (10, 1) access 1 min
switch S1 "Screen switch" at cab (20, 1) access 2 min { positions off on; contact 1 2 when on }
connector C1 "Tail" 2 cavities body -- tail at cab (30, 1) access 6 min
heater R1 "Rear screen" 1 2 72 W at cab (40, 1) access 3 min
lamp E1 "Step lamp" 1 2 5 W at cab (50, 1)
splice SP1 in body at cab (25, 2)
circuit 1 2.5 mm2 RD in body {
  A BT1.+ -- F1.1   1 m
  B F1.2  -- S1.1   1 m
  C S1.2  -- SP1    1 m
  D SP1   -- C1.1   1 m
  E C1.1  -- R1.1   1 m in tail
  F SP1   -- E1.1   1 m
}
circuit 2 2.5 mm2 BK in body {
  A R1.2  -- C1.2  1 m in tail
  B C1.2  -- G1    1 m
  C E1.2  -- G1    1 m
  D BT1.- -- G1    1 m
}
state "Screen on" { set S1 on }
complaint "Screen cold" { set S1 on seen R1 dead, E1 lit }
"""


@pytest.fixture
def source(tmp_path: Path) -> str:
    path = tmp_path / "T1.loom"
    path.write_text(CIRCUIT, "utf-8")
    return str(path)


def text(*arguments: str) -> str:
    result = CliRunner().invoke(cli, ["isolate", *arguments], catch_exceptions=False, standalone_mode=False)
    return result.stdout


def data(*arguments: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(text(*arguments, "--format", "json"))
    return found


def says(found: dict[str, Any]) -> set[str]:
    return {fault["says"] for group in found["groups"] for fault in group["faults"]}


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """The one line on standard error with which the command ends with code 2."""
    with pytest.raises(SystemExit) as stop:
        main(["isolate", *arguments])
    out, error = capsys.readouterr()
    assert (stop.value.code, out, len(error.splitlines())) == (2, "", 1)
    return error


def test_what_is_seen_clears_what_the_lamp_shares_and_keeps_the_rest(source: str) -> None:
    found = data(source, "--complaint", "Screen cold")
    assert {"wire 1D open", "terminal C1.1 body side backed out", "heater R1 open"} <= says(found)
    cleared = {row["part"] for row in found["cleared"]}
    assert {"fuse F1", "wire 1B", "wire 2D", "contact S1 1-2"} <= cleared
    assert not found["ended"]
    assert found["next"] == found["tests"][0]


def test_the_only_cause_there_is_comes_with_a_test_that_confirms_it(source: str) -> None:
    found = data(source, "--complaint", "E1-on")
    assert (found["ended"], says(found)) == (True, {"contact S1 1-2 does not open"})
    told = found["confirm"]
    assert told["test"]["words"] == "Battery off. Unplug S1, set it to off and measure between its terminals 1 and 2."
    assert (told["faulty"], told["sound"]) == ("below 0.31 ohm", "open")
    assert data(source, "--complaint", "Screen cold")["confirm"] is None
    printed = text(source, "--complaint", "E1-on")
    for words in ("Confirm it before the repair:", told["test"]["words"], "below 0.31 ohm: this is it", "open: the cause"):
        assert words in printed


def test_a_complaint_of_ones_own_is_the_same_search(source: str) -> None:
    own = data(source, "--state", "Screen on", "--seen", "R1 dead, E1 lit")
    assert says(own) == says(data(source, "--set", "S1=on", "--seen", "R1 dead", "--seen", "E1 lit"))
    assert own["groups"] == data(source, "--complaint", "Screen cold")["groups"]


def test_the_conditions_that_the_project_sets_are_those_of_the_search(source: str) -> None:
    cold = data(source, "--complaint", "Screen cold")
    (Path(source).parent / "loomwright.toml").write_text("[policy]\nconductor-temperature = 150\n", "utf-8")
    hot = data(source, "--complaint", "Screen cold")
    assert says(hot) == says(cold)
    assert hot["tests"] != cold["tests"]


def test_answers_lead_to_one_terminal_of_one_half(source: str) -> None:
    found = data(
        source, "--complaint", "Screen cold",
        "--answer", "volts C1.1 body side = 12.4 V", "--answer", "volts C1.1 tail side = 0 V",
        "--answer", "terminal C1.1 = tail side backed out",
    )  # fmt: skip
    assert found["ended"]
    assert says(found) == {"terminal C1.1 tail side backed out"}
    assert found["groups"][0]["faults"][0]["half"] == 1


def test_undo_takes_back_and_skip_never_offers_again(source: str) -> None:
    begun = data(source, "--complaint", "Screen cold")
    undone = data(source, "--complaint", "Screen cold", "--answer", "1", "--answer", "undo")
    assert undone == begun
    skipped = data(source, "--complaint", "Screen cold", "--answer", "skip")
    assert begun["next"]["id"] not in {test["id"] for test in skipped["tests"]}
    assert says(skipped) == says(begun)


def test_something_else_that_was_seen_counts(source: str) -> None:
    found = data(source, "--set", "S1=on", "--seen", "R1 dead", "--answer", "seen E1 lit with S1=on")
    assert found["groups"] == data(source, "--complaint", "Screen cold")["groups"]
    contradicted = data(source, "--complaint", "Screen cold", "--answer", "seen R1 powered")
    assert contradicted["groups"] == []
    assert len(contradicted["conflict"]) == 2
    assert "No single fault explains" in text(source, "--complaint", "Screen cold", "--answer", "seen R1 powered")


def test_a_kept_search_goes_on_where_it_was(source: str, tmp_path: Path) -> None:
    kept = tmp_path / "search.json"
    before = data(source, "--complaint", "Screen cold", "--answer", "1", "--save", str(kept))
    assert data(source, "--resume", str(kept)) == before


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ([], "begin with --complaint"),
        (["--complaint", "Screen cold", "--seen", "R1 dead"], "three ways to begin"),
        (["--complaint", "screen-gold"], "did you mean"),
        (["--set", "S1=on"], "say what is seen"),
        (["--seen", " , "], "say what is seen"),
        (["--seen", "R1 dead", "--save", "."], "loomwright: .: is a directory"),
        (["--seen", "R1 dead", "--save", "/dev/null"], "loomwright: /dev/null: is no plain file"),
        (["--set", "S1", "--seen", "R1 dead"], "NAME=POSITION"),
        (["--set", "S1=up", "--seen", "R1 dead"], "no position up"),
        (["--seen", "R1"], "say what is seen of it"),
        (["--seen", "R9 dead"], "there is no R9"),
        (["--seen", "R1 gone"], "nothing that can be seen"),
        (["--complaint", "Screen cold", "--answer", "99"], "has no answer 99"),
        (["--complaint", "Screen cold", "--answer", "volts C1.1 body side = 3 ohm"], "a reading in V"),
        (["--complaint", "Screen cold", "--answer", "volts C1.1 body side = open"], "a reading in V"),
        (["--complaint", "Screen cold", "--answer", "no such test = 1"], "there is no test"),
        (["--complaint", "Screen cold", "--answer", "undo"], "nothing to undo"),
        (["--complaint", "Screen cold", "--answer", "test 4000"], "there is no test 4000"),
        (["--resume", "missing.json"], "no such file"),
    ],
)
def test_what_cannot_be_done_is_one_line(
    source: str, arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert said in refused(capsys, source, *arguments)


@pytest.mark.parametrize("content", ["", "[]", "{", '{"version": 1}', '{"version": 1, "variant": "T1", "search": {}}'])
def test_a_file_that_holds_no_search_is_one_line(
    source: str, tmp_path: Path, content: str, capsys: pytest.CaptureFixture[str]
) -> None:
    kept = tmp_path / "kept.json"
    kept.write_text(content, "utf-8")
    assert "our mistake" not in refused(capsys, source, "--resume", str(kept))


def test_a_code_of_what_is_not_there_stands_in_no_other_ones_way(
    source: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    broken = tmp_path / "broken.loom"
    codes = 'trouble-code B1 "One" circuit 99 open\ntrouble-code B2 "Two" R9 open\n'
    broken.write_text(CIRCUIT + codes, "utf-8")
    assert says(data(str(broken), "--complaint", "Screen cold")) == says(data(source, "--complaint", "Screen cold"))
    capsys.readouterr()
    for code, said in (("code-b1", "there is no circuit 99"), ("code-b2", "there is no R9")):
        with pytest.raises(SystemExit) as stop:
            main(["isolate", str(broken), "--complaint", code])
        assert stop.value.code == 2
        assert said in capsys.readouterr().err


def test_only_the_sheets_that_draw_the_wire_are_named(tmp_path: Path) -> None:
    path = tmp_path / "T1.loom"
    more = 'lamp E2 1 2 5 W at cab (60, 1)\ncircuit 9 1 mm2 GN in body { A E2.1 -- C1.2  1 m }\n'
    path.write_text(f"{CIRCUIT}{more}sheet 7 {{ circuits 1 }}\nsheet 9 {{ circuits 9 }}\n", "utf-8")
    shown = text(str(path), "--complaint", "Screen cold", "--answer", "volts C1.1 body side = 12.4 V")
    asked = text(str(path), "--complaint", "Screen cold", "--answer", "volts C1.1 body side = 12.4 V",
                 "--answer", "volts C1.1 tail side = 0 V")  # fmt: skip
    assert "C1 Tail, Cab, sheet 7" in shown + asked
    assert "sheets 7, 9" not in shown + asked


def test_complaints_are_listed(source: str) -> None:
    assert "screen-cold" in text(source, "--list")
    rows = data(source, "--list")["complaints"]
    assert {"id": "screen-cold", "sort": "source", "title": "Screen cold"} in rows
    assert {"R1-dead", "E1-dead", "R1-weak", "R1-on", "R1-fuse"} <= {row["id"] for row in rows}


def test_at_a_terminal_it_asks_until_the_fault_is_found(source: str, root: Path, tmp_path: Path) -> None:
    kept = tmp_path / "kept.json"
    ours, theirs = pty.openpty()
    environment = {**os.environ, "PYTHONPATH": str(root), "COLUMNS": "90", "TERM": "xterm", "NO_COLOR": "1"}
    with subprocess.Popen(
        [sys.executable, "-m", "loomwright", "isolate", source, "--complaint", "Screen cold"],
        stdin=theirs, stdout=theirs, stderr=theirs, env=environment,
    ) as process:  # fmt: skip
        os.close(theirs)
        talked = _until(ours, "help: ")
        for typed, awaited in (
            ("nonsense", "no answer to"),
            ("help", "take back the last step"),
            ("left", "wire 1D open"),
            ("cleared", "fuse F1"),
            ("tests", "bit"),
            (f"save {kept}", "kept in"),
            ("volts C1.1 body side = 12.4 V", "possible causes left"),
            ("volts C1.1 tail side = 0 V", "possible causes left"),
            ("terminal C1.1 = tail side backed out", "Found: terminal C1.1 tail side backed out"),
        ):
            os.write(ours, typed.encode() + b"\n")
            talked = _until(ours, "help: ")
            assert awaited in talked, (typed, talked)
        os.write(ours, b"quit\n")
        assert process.wait(timeout=60) == 0
    os.close(ours)
    assert len(json.loads(kept.read_text("utf-8"))["search"]["events"]) == 3


def _until(terminal: int, awaited: str) -> str:
    """What the terminal shows up to its prompt."""
    shown = b""
    end = time.monotonic() + 120
    while awaited.encode() not in shown:
        assert time.monotonic() < end, shown
        if select.select([terminal], [], [], 1)[0]:
            shown += os.read(terminal, 65536)
    return shown.decode()
