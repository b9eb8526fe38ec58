"""The public API: what `import loomwright` offers."""

from __future__ import annotations

from pathlib import Path

import pytest

import loomwright
from grammar.finding import Severity
from grammar.formatter import CannotFormat


def test_everything_that_is_offered_is_there() -> None:
    for name in loomwright.__all__:
        assert getattr(loomwright, name)


def test_check_gives_a_report(project: Path) -> None:
    report = loomwright.check(project)
    assert report.variants == ("S2", "S4")
    assert report.failed()
    assert report.count(Severity.ERROR) == 1
    (error,) = (r for r in report.findings if r.finding.severity is Severity.ERROR)
    assert (error.finding.check, error.variants) == ("dangling-cavity", ("S4",))
    assert not loomwright.check(project / "S2.loom").failed()


def test_load_gives_the_model(project: Path) -> None:
    variant = loomwright.load(project / "S2.loom")
    assert variant.id == "S2"
    assert [wire.id for wire in variant.wires] == ["48A", "48B"]
    with pytest.raises(ValueError, match="has no variant"):
        loomwright.load(project / "shared/body.loom")
    with pytest.raises(FileNotFoundError):
        loomwright.load(project / "nowhere.loom")


def test_format_text() -> None:
    text = loomwright.format_text("splice   SP1      in body\n")
    assert text.split() == ["splice", "SP1", "in", "body"]
    assert len(text) < 24
    assert loomwright.format_text(text) == text
    with pytest.raises(CannotFormat):
        loomwright.format_text('splice "x\n')


def test_publish_gives_the_files(project: Path, tmp_path: Path) -> None:
    done = loomwright.publish(project / "S2.loom", tmp_path / "pack", formats=["json"])
    assert [path.name for path in done.files] == ["inventory.json", "pack.json"]


def test_diff_tells_two_variants_apart_and_a_pack_from_its_source(project: Path, tmp_path: Path) -> None:
    found = loomwright.diff(project / "S2.loom", project / "S4.loom")
    assert not found.is_issue
    assert [change.what for change in found.changes] == ["wire-removed"]
    loomwright.publish(project / "S2.loom", tmp_path / "pack", formats=["json"])
    assert loomwright.diff(tmp_path / "pack", project / "S2.loom").changes == ()


def test_a_report_can_be_narrowed(project: Path) -> None:
    report = loomwright.check(project)
    only = report.without(only=["dangling-cavity"])
    assert {r.finding.check for r in only.findings} == {"dangling-cavity"}
    skipped = report.without(skip=["dangling-cavity"])
    assert not skipped.failed()
    assert len(only.findings) + len(skipped.findings) == len(report.findings)
