"""One pack of several variants."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from compiler.assembly.project import Project, Settings
from compiler.model.variant import Variant
from renderers.combined import combined
from renderers.document import Pack
from renderers.forms import Wishes
from renderers.pack import build_pack
from renderers.publish import PublishError
from renderers.publish_combined import publish_combined
from renderers.store import Store
from renderers.swap import LIST_NAME
from renderers.text import clean
from renderers.writers.print_pdf import write_pdf
from tests.renderers.test_pdf import text_of
from tests.renderers.vehicles import SMALL, figures, read


@pytest.fixture(scope="module")
def other(tmp_path_factory: pytest.TempPathFactory) -> Variant:
    text = SMALL.replace("variant T1", "variant T2").replace("0.75 mm2 BN", "1 mm2 YE")
    return read(tmp_path_factory.mktemp("other"), text)


@pytest.fixture(scope="module")
def both(small_pack: Pack, other: Variant) -> Pack:
    return combined([small_pack, build_pack(other, figures(other), line="Tern")], "Tern trucks")


def links(pack: Pack) -> set[str]:
    return {run.link for table in pack.tables for row in table.rows for c in row.cells for run in c.runs if run.link}


def test_every_section_and_sheet_is_marked_with_its_variant(both: Pack, small_pack: Pack) -> None:
    titles = [section.title for section in small_pack.sections]
    assert [section.title for section in both.sections] == [f"{v}: {title}" for v in ("T1", "T2") for title in titles]
    pages = text_of(next(iter(write_pdf(both).values()))).split("\f")
    for name in ("T1: Sheet 38", "T2: Sheet 38", "T1: Sheet 39", "T2: Sheet 39"):
        assert sum(page.strip().startswith(name) and f"{name}  Screen" not in page for page in pages) >= 1
    assert "Tern trucks" in pages[0]
    assert re.search(r"T1 .*\n+.*T2 ", pages[0])


def test_links_stay_within_their_variant_and_none_is_dead(both: Pack, small_pack: Pack) -> None:
    anchors = both.anchors()
    for section in both.sections:
        end = section.anchor[section.anchor.index("-of-") :]
        for table in section.tables:
            for row in table.rows:
                assert not row.anchor or row.anchor.endswith(end)
                for cell in row.cells:
                    for run in cell.runs:
                        assert not run.link or (run.link in anchors and run.link.endswith(end))
    assert len(links(both)) == 2 * len(links(small_pack)) > 0


def test_each_variant_keeps_its_own_facts(both: Pack) -> None:
    colours = [
        cell.text
        for section in both.sections
        if section.id.startswith("wires-")
        for table in section.tables
        for row in table.rows
        if row.about.wire == "50A"
        for cell in row.cells
    ]
    assert "BN" in colours
    assert "YE" in colours


def test_the_pack_as_a_whole(small: Variant, other: Variant, tmp_path: Path) -> None:
    project = Project(tmp_path, Settings("Tern trucks"))
    store = Store(tmp_path / "kept")
    subjects = [(small, project), (other, project)]
    done = publish_combined(subjects, tmp_path / "a", Wishes(("html", "pdf", "csv")), store=store)
    names = {path.relative_to(tmp_path / "a").as_posix() for path in done.files}
    wanted = {"index.html", "Tern-trucks.pdf", "T1/index.html", "T2/index.html", "T1/csv/wires.csv"}
    assert wanted <= names
    assert (tmp_path / "a" / LIST_NAME).exists()
    page = (tmp_path / "a" / "index.html").read_text("utf-8")
    for target in re.findall(r'href="([^"]+)"', page):
        assert (tmp_path / "a" / target).is_file()
    assert not publish_combined(subjects, tmp_path / "a", Wishes(("html", "pdf", "csv")), store=store).changed
    fresh = publish_combined(subjects, tmp_path / "b", Wishes(("html", "pdf", "csv")))
    assert [path.read_bytes() for path in fresh.files] == [path.read_bytes() for path in done.files]


def test_two_of_one_id_are_refused(small: Variant, tmp_path: Path) -> None:
    project = Project(tmp_path, Settings())
    with pytest.raises(PublishError, match="same id"):
        publish_combined([(small, project), (small, project)], tmp_path / "a", Wishes(("json",)))
    assert not (tmp_path / "a").exists()


def test_hostile_titles_stay_text(hostile: Variant, other: Variant, tmp_path: Path) -> None:
    name = "<script>alert(1)</script>"
    project = Project(tmp_path, Settings(name))
    publish_combined([(hostile, project), (other, project)], tmp_path / "a", Wishes(("html",)))
    page = (tmp_path / "a" / "index.html").read_text("utf-8")
    assert "<script" not in page
    assert clean(name).replace("<", "&lt;").replace(">", "&gt;") in page
