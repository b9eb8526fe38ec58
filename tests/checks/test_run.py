"""The runner: severities, waivers, order, and what happens when a check breaks down or a fragment is missing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from compiler.assembly.library import Library
from compiler.assembly.project import Project, ProjectError, Settings, find_project
from compiler.checks import checks
from compiler.checks.base import Check, Subject
from compiler.checks.run import Checked, check_settings, check_variant
from grammar.finding import Finding, Severity

LONE = """
splice SP1
splice SP2 allow lone-splice "reserved"
ring-terminal E1
circuit 1 1 mm2 BK {
  A  E1 -- SP1  1 m
}
"""


def checked(folder: Path, text: str = LONE, settings: Settings | None = None) -> Checked:
    path = folder / "S4.loom"
    path.write_text(f"variant S4\n{text}", "utf-8")
    return check_variant(Library(Project(folder, settings or Settings())), path)


def named(result: Checked, name: str) -> list[Finding]:
    return [finding for finding in result.findings if finding.check == name]


@pytest.mark.parametrize("level", ["error", "warning", "note"])
def test_a_project_sets_the_severity_of_a_check(tmp_path: Path, level: str) -> None:
    result = checked(tmp_path, settings=Settings(severity={"lone-splice": level}))
    assert [finding.severity for finding in named(result, "lone-splice")] == [Severity(level)]


def test_a_check_that_is_off_says_nothing_and_its_waivers_stand(tmp_path: Path) -> None:
    result = checked(tmp_path, settings=Settings(severity={"lone-splice": "off"}))
    assert not named(result, "lone-splice")
    assert not named(result, "waiver-unused")
    assert result.waived == 0


def test_the_settings_file_is_read(tmp_path: Path) -> None:
    (tmp_path / "loomwright.toml").write_text("[severity]\nlone-splice = 'note'\n", "utf-8")
    (tmp_path / "S4.loom").write_text(f"variant S4\n{LONE}", "utf-8")
    path = tmp_path / "S4.loom"
    result = check_variant(Library(find_project(path)), path)
    assert [finding.severity for finding in named(result, "lone-splice")] == [Severity.NOTE]


def test_findings_name_the_variant_and_stand_in_reading_order(tmp_path: Path) -> None:
    result = checked(tmp_path)
    assert {finding.variant for finding in result.findings} == {"S4"}
    places = [finding.at.start for finding in result.findings if finding.at]
    assert places == sorted(places)
    assert [finding.says for finding in result.findings] == [f.says for f in checked(tmp_path).findings]


def test_a_waiver_takes_out_its_findings_and_they_are_counted(tmp_path: Path) -> None:
    result = checked(tmp_path)
    assert [finding.at.text for finding in named(result, "lone-splice") if finding.at] == ["SP1"]
    assert result.waived == 1


@pytest.mark.parametrize(
    ("text", "excused"),
    [
        ('splice SP1 allow lone-splice "x"', True),
        ('splice SP1 allow lone-splice "  "', False),
        ('splice SP1 allow unlocated "x"', False),
        ('splice SP1\nsplice SP9 allow lone-splice "x"', False),
        ('splice SP1\nextend splice SP1 { allow lone-splice "x" }', True),
    ],
)
def test_a_waiver_excuses_its_own_statement_and_check_only(tmp_path: Path, text: str, excused: bool) -> None:
    result = checked(tmp_path, text)
    places = [finding.at.text for finding in named(result, "lone-splice") if finding.at]
    assert ("SP1" not in places) is excused


def test_two_waivers_of_one_finding_are_both_used(tmp_path: Path) -> None:
    text = """
ring-terminal E1
ring-terminal E2
circuit 1 1 mm2 BK {
  allow colour-mismatch "all"
  A  E1 -- E2  1 m  RD  allow colour-mismatch "this one"
}
"""
    result = checked(tmp_path, text)
    assert not named(result, "colour-mismatch")
    assert not named(result, "waiver-unused")
    assert result.waived == 1


def test_many_waivers_and_findings_are_matched_in_one_sweep(tmp_path: Path) -> None:
    splices = "\n".join(f'splice SP{n} allow lone-splice "spare"' for n in range(0, 3000, 2))
    others = "\n".join(f"splice SP{n}" for n in range(1, 3000, 2))
    result = checked(tmp_path, f"{splices}\n{others}")
    assert result.waived == 1500
    assert len(named(result, "lone-splice")) == 1500


@pytest.mark.parametrize(
    ("settings", "says"),
    [
        (Settings(severity={"lone-splise": "off"}), "no such check; did you mean lone-splice?"),
        (Settings(severity={"syntax": "off"}), "what cannot be read is always an error"),
        (Settings(policy={"wires-per-cavty": 1}), "no such policy; did you mean wires-per-cavity?"),
        (Settings(policy={"zzz": 1}), "no such policy; known are"),
    ],
)
def test_settings_that_name_nothing_are_refused(settings: Settings, says: str) -> None:
    with pytest.raises(ProjectError) as caught:
        check_settings(settings)
    assert says in str(caught.value)


@pytest.mark.parametrize("value", ["two", 0, True, 1.5])
def test_a_policy_value_that_cannot_be_used_is_refused(tmp_path: Path, value: object) -> None:
    text = "ring-terminal E1\nlamp E2 5 W\ncircuit 1 { A  E1 -- E2.1; B  E1 -- E2.1 }"
    with pytest.raises(ProjectError, match="policy wires-per-cavity"):
        checked(tmp_path, text, Settings(policy={"wires-per-cavity": value}))


def test_the_policy_for_wires_at_a_cavity_counts(tmp_path: Path) -> None:
    text = "ring-terminal E1\nring-terminal E3\nlamp E2 5 W\ncircuit 1 { A  E1 -- E2.1; B  E3 -- E2.1; C  E1 -- E2.2 }"
    assert len(named(checked(tmp_path, text), "cavity-overfilled")) == 1
    loose = Settings(policy={"wires-per-cavity": 2})
    assert not named(checked(tmp_path, text, loose), "cavity-overfilled")


def test_where_overfilled_cavities_are_off_parallel_wires_speak(tmp_path: Path) -> None:
    text = "ring-terminal E1\nlamp E2 5 W\ncircuit 1 { A  E1 -- E2.1; B  E1 -- E2.1 }"
    assert not named(checked(tmp_path, text), "parallel-wire")
    off = Settings(severity={"cavity-overfilled": "off"})
    assert len(named(checked(tmp_path, text, off), "parallel-wire")) == 1


@pytest.mark.parametrize("error", [RuntimeError("no tree"), ValueError("no number"), KeyError("SP9")])
def test_a_check_that_breaks_down_is_one_finding(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    def broken(self: Check, subject: Subject) -> Iterator[Finding]:
        raise error

    monkeypatch.setattr(type(checks()["lone-splice"]), "run", broken)
    result = checked(tmp_path)
    (crash,) = named(result, "check-crashed")
    assert crash.says.startswith(f"the check lone-splice broke down: {type(error).__name__}")
    assert crash.severity is Severity.ERROR
    assert named(result, "unlocated"), "the other checks have run"


def test_while_a_fragment_is_missing_nothing_is_called_missing(tmp_path: Path) -> None:
    result = checked(tmp_path, f'use "gone.loom"\n{LONE}')
    assert [finding.check for finding in result.findings] == ["fragment-missing"]
    assert [name for name, check in checks().items() if check.needs_all], "there are checks that wait"


def test_an_unreadable_variant_has_no_model(tmp_path: Path) -> None:
    (tmp_path / "S4.loom").write_bytes(b"\xff\xfev\x00")
    result = check_variant(Library(Project(tmp_path, Settings())), tmp_path / "S4.loom")
    assert result.variant is None
    assert [finding.check for finding in result.findings] == ["syntax"]
    with pytest.raises(OSError, match="gone"):
        check_variant(Library(Project(tmp_path, Settings())), tmp_path / "gone.loom")
