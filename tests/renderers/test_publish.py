"""Publishing as a whole."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from compiler.assembly.project import Project, Settings
from compiler.model.variant import Variant
from renderers import publish as module
from renderers.part import Part
from renderers.publish import PublishError, publish
from renderers.sheets import DotError, SheetFigure
from renderers.store import Store
from renderers.swap import LIST_NAME
from tests.renderers.vehicles import SMALL
from tests.renderers.vehicles import read as read_variant


@pytest.fixture
def project(tmp_path: Path) -> Project:
    return Project(tmp_path, Settings("Tern"))


def read(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def variant_of(folder: Path, text: str) -> Variant:
    folder.mkdir()
    return read_variant(folder, text)


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
    assert [path.name for path in done.files] == ["inventory.json", "pack.json"]


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

    def failing(variant: Variant, dot: str | None, store: Store) -> Mapping[str, SheetFigure]:
        raise DotError(f"no dot program at {dot}")

    monkeypatch.setattr(module, "draw_sheets", failing)
    with pytest.raises(PublishError, match="no dot program at nowhere"):
        publish(small, project, tmp_path / "a", formats=("json",), dot="nowhere")
    assert read(tmp_path / "a") == before


# -- what is kept between runs -----------------------------------------------------------------------------------------
def test_nothing_is_made_again_where_nothing_changed(
    small: Variant, project: Project, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = Store(tmp_path / "store")
    first = publish(small, project, tmp_path / "a", store=store)
    monkeypatch.setattr(module, "draw_sheets", None)
    stamps = {path: path.stat().st_mtime_ns for path in first.files}
    again = publish(small, project, tmp_path / "a", store=store)
    assert (first.changed, again.changed) == (True, False)
    assert {path: path.stat().st_mtime_ns for path in again.files} == stamps
    assert publish(small, project, tmp_path / "b", store=store).changed
    assert read(tmp_path / "b") == read(tmp_path / "a")


def test_a_pack_that_lost_a_file_is_put_right(small: Variant, project: Project, tmp_path: Path) -> None:
    store = Store(tmp_path / "store")
    publish(small, project, tmp_path / "a", formats=("json", "csv"), store=store)
    before = read(tmp_path / "a")
    (tmp_path / "a" / "pack.json").unlink()
    (tmp_path / "a" / "csv" / "wires.csv").write_text("mine")
    assert publish(small, project, tmp_path / "a", formats=("json", "csv"), store=store).changed
    assert read(tmp_path / "a") == before


def test_every_wish_counts(small: Variant, project: Project, tmp_path: Path) -> None:
    """What is asked for in another way is not answered with what is kept."""
    store = Store(tmp_path / "store")
    plain = publish(small, project, tmp_path / "a", formats=("json",), store=store)
    dated = publish(small, project, tmp_path / "a", formats=("json",), date=1_700_000_000, store=store)
    assert '"2023-11-14"' in (tmp_path / "a" / "pack.json").read_text("utf-8")
    part = publish(small, project, tmp_path / "a", formats=("json",), part=Part(sections=("wires",)), store=store)
    other = Project(tmp_path, Settings("Gull"))
    named = publish(small, other, tmp_path / "a", formats=("json",), store=store)
    assert all(done.changed for done in (plain, dated, part, named))
    assert "Gull" in (tmp_path / "a" / "pack.json").read_text("utf-8")


def test_after_one_wire_the_pack_is_as_if_made_anew(project: Project, tmp_path: Path) -> None:
    store = Store(tmp_path / "store")
    publish(variant_of(tmp_path / "v", SMALL), project, tmp_path / "a", store=store)
    edited = variant_of(tmp_path / "w", SMALL.replace("C SP1 -- E4.1 1 m", "C SP1 -- E4.1 1 m OG"))
    publish(edited, project, tmp_path / "a", store=store)
    publish(edited, project, tmp_path / "b")
    assert read(tmp_path / "a") == read(tmp_path / "b")


def test_a_store_that_was_tampered_with_does_no_harm(small: Variant, project: Project, tmp_path: Path) -> None:
    store = Store(tmp_path / "store")
    publish(small, project, tmp_path / "a", formats=("html", "json"), store=store)
    before = read(tmp_path / "a")
    for place, path in enumerate(sorted(p for p in (tmp_path / "store").rglob("*") if p.is_file())):
        data = path.read_bytes()
        path.write_bytes((b"", data[:-1], data[:60] + b"x" + data[61:], b"x" * len(data))[place % 4])
    assert not publish(small, project, tmp_path / "a", formats=("html", "json"), store=store).changed
    assert read(tmp_path / "a") == before


# -- parts and further forms -------------------------------------------------------------------------------------------
def test_pictures_and_graphs_of_sheets(small: Variant, project: Project, tmp_path: Path) -> None:
    done = publish(small, project, tmp_path / "a", formats=("png", "dot"), resolution=72)
    names = {path.relative_to(tmp_path / "a").as_posix() for path in done.files}
    assert {"png/38.png", "png/39.png", "dot/38.dot", "dot/39.dot"} <= names
    assert (tmp_path / "a" / "png" / "38.png").read_bytes().startswith(b"\x89PNG\r\n")
    assert "digraph" in (tmp_path / "a" / "dot" / "38.dot").read_text("utf-8")


def test_a_resolution_out_of_bounds_is_refused(small: Variant, project: Project, tmp_path: Path) -> None:
    with pytest.raises(PublishError, match="resolution of 5 dots"):
        publish(small, project, tmp_path / "a", formats=("png",), resolution=5)
    assert not (tmp_path / "a").exists()


@pytest.mark.parametrize(
    ("part", "says"),
    [(Part(sheets=("40",)), "no sheet '40' in this pack"), (Part(sections=("fables",)), "no section 'fables'")],
)
def test_a_part_that_is_not_there_is_refused(
    small: Variant, project: Project, tmp_path: Path, part: Part, says: str
) -> None:
    with pytest.raises(PublishError, match=says):
        publish(small, project, tmp_path / "a", formats=("json",), part=part)
    assert not (tmp_path / "a").exists()
