"""Checks that take long run where they are asked for: by a severity in the settings, or by the command."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from compiler.assembly.library import Library
from compiler.assembly.project import ProjectError, find_project
from compiler.checks import checks
from compiler.checks.run import asking, check_variant
from loomwright.program import cli

SOURCE = """variant T1 "Lamp"
battery BT1 "Battery" 12.6 V 6 mohm
ground G1 "Left wing"
switch S1 "Lamp" { positions off on; contact 1 2 when on }
lamp E1 "Lamp" 1 2 21 W
circuit 1 2.5 mm2 RD {
  A  BT1.+ -- S1.1  1 m
  B  S1.2 -- E1.1  1 m
}
circuit 2 2.5 mm2 BK {
  A  E1.2 -- G1  1 m
  B  BT1.- -- G1  1 m
}
complaint "Lamp out" { seen E1 out }    # the switch is forgotten
"""
NAME = "complaint-unexplained"


def project(folder: Path, settings: str = "") -> Path:
    (folder / "loomwright.toml").write_text(settings, "utf-8")
    path = folder / "t.loom"
    path.write_text(SOURCE, "utf-8")
    return path


def found(path: Path, *, asked: bool = False) -> set[str]:
    own = find_project(path)
    return {f.check for f in check_variant(Library(asking(own) if asked else own), path).findings}


def test_which_they_are() -> None:
    names = {name for name, check in checks().items() if check.on_request}
    assert names == {NAME, "far-test-place", "large-fault-group"}


@pytest.mark.parametrize(
    ("settings", "asked", "runs"),
    [
        ("", False, False),
        ("", True, True),
        (f'[severity]\n{NAME} = "error"\n', False, True),
        (f'[severity]\n{NAME} = "off"\n', True, False),
        ('[severity]\nfar-test-place = "note"\n', False, False),
    ],
)
def test_when_they_run(settings: str, asked: bool, runs: bool, tmp_path: Path) -> None:
    assert (NAME in found(project(tmp_path, settings), asked=asked)) is runs


def test_a_waiver_of_one_that_did_not_run_is_not_called_unused(tmp_path: Path) -> None:
    path = project(tmp_path)
    waived = SOURCE.replace("seen E1 out", f'seen E1 out; allow {NAME} "the lamp is tested so"')
    path.write_text(waived, "utf-8")
    assert not found(path) & {NAME, "waiver-unused"}
    assert not found(path, asked=True) & {NAME, "waiver-unused"}


def test_the_command_asks_for_them(tmp_path: Path) -> None:
    path = project(tmp_path)
    assert NAME not in CliRunner().invoke(cli, ["check", str(path)]).output
    assert NAME in CliRunner().invoke(cli, ["check", "--testability", str(path)]).output


def test_a_policy_that_cannot_be_used_is_one_line(tmp_path: Path) -> None:
    path = project(tmp_path, "[policy]\nfault-limits = { grup = 2 }\n")
    with pytest.raises(ProjectError, match="policy fault-limits: there is no grup; did you mean group"):
        found(path, asked=True)
