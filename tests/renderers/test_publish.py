"""Publishing as a whole."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from compiler.assembly.project import Project, Settings
from compiler.model.variant import Variant
from renderers import publish as module
from renderers.publish import PublishError, publish
from renderers.sheets import DotError, SheetFigure
from renderers.swap import LIST_NAME


@pytest.fixture
def project(tmp_path: Path) -> Project:
    return Project(tmp_path, Settings("Tern"))


def read(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_all_forms_with_real_sheets_and_the_same_bytes_twice(small: Variant, project: Project, tmp_path: Path) -> None:
    said: list[str] = []
    done = publish(small, project, tmp_path / "a", progress=said.append)
    names = {path.relative_to(tmp_path / "a").as_posix() for path in done.files}
    assert {"index.html", "T1.pdf", "pack.json", "csv/wires.csv"} <= names
    assert set(read(tmp_path / "a")) == names | {LIST_NAME}
    assert said == [
        "drawing the sheets",
        "building the charts",
        *(f"writing {n}" for n in ("html", "pdf", "csv", "json")),
    ]
    assert done.seconds > 0
    publish(small, project, tmp_path / "b")
    assert read(tmp_path / "a") == read(tmp_path / "b")
    page = (tmp_path / "a" / "index.html").read_text("utf-8")
    assert 'data-wire="48C"' in page
    assert "Tern" in page


def test_only_what_is_asked_for(small: Variant, project: Project, tmp_path: Path) -> None:
    done = publish(small, project, tmp_path / "a", formats=("json", "json"))
    assert [path.name for path in done.files] == ["pack.json"]


@pytest.mark.parametrize(
    ("formats", "paper", "says"),
    [
        (("html", "word"), "a4", "no format 'word'"),
        (("pdf",), "a5", "no paper 'a5'"),
        ((), "a4", "no format asked for"),
    ],
)
def test_unknown_wishes_are_refused(
    small: Variant, project: Project, tmp_path: Path, formats: tuple[str, ...], paper: str, says: str
) -> None:
    with pytest.raises(PublishError, match=says):
        publish(small, project, tmp_path / "a", formats=formats, paper=paper)
    assert not (tmp_path / "a").exists()


def test_a_folder_that_is_no_pack_is_refused_before_any_work(
    small: Variant, project: Project, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "x").touch()
    monkeypatch.setattr(module, "draw_sheets", None)
    with pytest.raises(PublishError, match="is not a pack"):
        publish(small, project, tmp_path / "a")


def test_a_dot_that_fails_leaves_the_old_pack(
    small: Variant, project: Project, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    publish(small, project, tmp_path / "a", formats=("json",))
    before = read(tmp_path / "a")

    def failing(variant: Variant, dot: str | None) -> Mapping[str, SheetFigure]:
        raise DotError(f"no dot program at {dot}")

    monkeypatch.setattr(module, "draw_sheets", failing)
    with pytest.raises(PublishError, match="no dot program at nowhere"):
        publish(small, project, tmp_path / "a", formats=("json",), dot="nowhere")
    assert read(tmp_path / "a") == before
