"""The section `Changes since the last issue` of a pack, and the sheets that it marks."""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest

from compiler.changes.inventory import Inventory, inventory_of
from compiler.changes.stored import inventory_json, read_inventory
from compiler.model.variant import Variant
from renderers.around import Around
from renderers.changed import News
from renderers.document import Group, Pack, Paragraph, Section
from renderers.pack import build_pack
from renderers.tables import Table
from renderers.writers.csv_tables import write_csv
from renderers.writers.html_folder import write_html
from renderers.writers.inventory import write_inventory
from renderers.writers.print_pdf import write_pdf
from tests.renderers.vehicles import HOSTILE, SMALL, figures, read

EDITS = (
    ('issue "1"', 'issue "2"'),
    ("K7.87 -- C12.A1", "K7.87 -- C12.B1"),
    ("C12.A1 -- C40.7 2 m", "C12.B1 -- C40.7 2 m"),
    ("slot 10 5 A", "slot 10 7.5 A"),
    ('ground G2 "Tailgate post" on chassis at tail (2, 3)', 'ground G2 "Tailgate post" on chassis at tail (9, 9)'),
    ('sheet 39 "Side', 'sheet 40 "New" { circuits 49 }\nsheet 39 "Side'),
)


@pytest.fixture
def old(tmp_path: Path) -> Inventory:
    return inventory_of(read(tmp_path, SMALL))


@pytest.fixture
def new(tmp_path: Path) -> Variant:
    text = SMALL
    for before, after in EDITS:
        assert text.count(before) == 1, before
        text = text.replace(before, after)
    return read(tmp_path, text)


def section(variant: Variant, since: Inventory) -> tuple[Pack, Section]:
    pack = build_pack(variant, figures(variant), around=Around(since=since))
    return pack, pack.section("changes")


def rows(found: Section, name: str) -> list[tuple[str, ...]]:
    return [tuple(cell.text for cell in row.cells) for table in found.tables if table.id == name for row in table.rows]


def test_without_an_older_issue_there_is_no_section(new: Variant) -> None:
    assert "changes" not in [found.id for found in build_pack(new, figures(new)).sections]


def test_an_issue_that_changed_nothing_says_so(tmp_path: Path, old: Inventory) -> None:
    variant = read(tmp_path, SMALL)
    _, found = section(variant, old)
    assert [paragraph.runs[0].text for paragraph in found.paragraphs] == ["Nothing changed since the last issue."]
    assert found.tables == ()


def test_what_changed_stands_under_its_heading(new: Variant, old: Inventory) -> None:
    pack, found = section(new, old)
    assert found.title == "Changes since the last issue"
    assert pack.sections[-1] is found
    assert rows(found, "changes-wires") == [
        ("48B, 48C", "CIRCUIT", "moved to another cavity", "C12.A1", "C12.B1", "38, 39")
    ]
    assert rows(found, "changes-fuses-breakers-fusible-links") == [
        ("F10", "Side lamps", "re-rated", "5 A", "7.5 A", "39")
    ]
    assert rows(found, "changes-grounds")[0][:5] == ("G2", "Tailgate post", "moved", "tail (2, 3)", "tail (9, 9)")


def test_changed_and_new_sheets_are_marked(new: Variant, old: Inventory) -> None:
    pack, found = section(new, old)
    states = {row[0]: row[2] for row in rows(found, "changed-sheets")}
    assert states == {"38": "changed", "39": "changed", "40": "new"}
    listed = next(table for table in pack.section("sheets").tables if table.id == "sheets")
    notes = dict(zip((c.text for c in listed.column("sheet")), (c.text for c in listed.column("notes")), strict=True))
    assert notes == {
        "38": "Changed since issue 1",
        "39": "Changed since issue 1; drawn with the lamps off",
        "40": "New since issue 1",
    }


def test_every_link_leads_somewhere_and_what_is_there_is_linked(new: Variant, old: Inventory) -> None:
    pack, found = section(new, old)
    anchors = pack.anchors()
    links = {run.text: run.link for table in found.tables for row in table.rows for c in row.cells for run in c.runs}
    assert {link for link in links.values() if link} <= set(anchors)
    assert links["48B"] == "wire-48B"
    assert links["F10"] == "item-F10"
    assert links["C12.B1"] == "cavity-C12_2e_B1"
    assert links["40"] == "sheet-40"


def test_another_variant_is_no_issue(tmp_path: Path, new: Variant) -> None:
    other = inventory_of(read(tmp_path, SMALL.replace("variant T1", "variant T9")))
    pack, found = section(new, other)
    assert found.title == "Differences from T9"
    table: Table = next(table for table in found.tables if table.id == "changes-wires")
    assert [column.title for column in table.columns] == ["Id", "Name", "What", "T9", "T1", "Sheets"]
    notes = next(t for t in pack.section("sheets").tables if t.id == "sheets").column("notes")
    assert [cell.text.split(";")[0] for cell in notes] == ["Differs from T9", "Differs from T9", "Not in T9"]


def test_changes_are_one_csv_file(new: Variant, old: Inventory) -> None:
    pack, _ = section(new, old)
    lines = write_csv(pack)["csv/changes.csv"].decode("utf-8-sig").splitlines()
    assert lines[0] == "Group,Id,Name,What,Before,Now,Sheets"
    assert 'Wires,"48B, 48C",CIRCUIT,moved to another cavity,C12.A1,C12.B1,"38, 39"' in lines


def test_hostile_words_of_an_older_issue_stay_words(tmp_path: Path, new: Variant) -> None:
    text = SMALL
    for place, plain in enumerate(("Rear screen relay", "Left side lamp", "300 mm from C12", "Tailgate post")):
        words = HOSTILE[place].replace("\\", "\\\\").replace('"', '\\"')
        text = text.replace(f'"{plain}"', f'"{words}"')
    pack, found = section(new, inventory_of(read(tmp_path, text)))
    page = write_html(pack)["index.html"].decode("utf-8")
    assert "<script>alert(1)" not in page
    assert any(HOSTILE[0] in cell.text for table in found.tables for row in table.rows for cell in row.cells)
    assert not any(name.count("script") for name in write_csv(pack))


def test_the_pack_keeps_what_the_next_issue_is_compared_with(new: Variant, old: Inventory) -> None:
    pack, _ = section(new, old)
    (name,) = write_inventory(pack)
    assert name == "inventory.json"
    assert replace(pack.inventory, drawn=None) == inventory_of(new)
    assert pack.inventory.drawn is not None
    assert set(pack.inventory.drawn.pages) == {"38", "39", "40"}
    assert read_inventory(inventory_json(pack.inventory).encode()) == pack.inventory


def test_the_page_of_a_changed_sheet_says_what_changed(new: Variant, old: Inventory) -> None:
    pack, _ = section(new, old)
    heads = {
        block.id: "".join(run.text for run in next(leaf for leaf in block.blocks if isinstance(leaf, Paragraph)).runs)
        for block in pack.section("sheets").blocks
        if isinstance(block, Group)
    }
    assert heads == {
        "sheet-38": "Changed since issue 1: wires 48B, 48C moved to another cavity. See also sheet 39",
        "sheet-39": "Changed since issue 1: wires 48B, 48C moved to another cavity; fuse F10 re-rated",
        "sheet-40": "New since issue 1",
    }
    page = write_html(pack)["index.html"].decode("utf-8").replace("\u00a0", " ")
    for words in heads.values():
        mark, colon, rest = words.partition(" See also ")[0].partition(":")
        assert f'<p><a href="#section-changes">{mark}</a>{colon}{rest}' in page


def test_the_head_of_a_page_tells_no_more_than_fits() -> None:
    said = tuple(f"wire {number}A recoloured" for number in range(10, 40))
    news = News("Changed since issue 1", said)
    for room in range(30, 200):
        words = news.mark + news.words(room)
        assert words.startswith(f"Changed since issue 1: {said[0]}"), "one change is told at any rate"
        assert len(words) <= max(room, len(f"Changed since issue 1: {said[0]}; and 29 more"))
        told, more = words.count("recoloured"), re.search(r"; and (\d+) more$", words)
        assert told + (int(more[1]) if more else 0) == len(said)
    assert News("New since issue 1").words(80) == ""


def test_another_variant_is_told_by_its_name_at_the_head(tmp_path: Path, new: Variant) -> None:
    other = inventory_of(read(tmp_path, SMALL.replace("variant T1", "variant T9")))
    pack = build_pack(new, figures(new), around=Around(since=other))
    groups = {block.id: block for block in pack.section("sheets").blocks if isinstance(block, Group)}
    head, *_ = [leaf for leaf in groups["sheet-38"].blocks if isinstance(leaf, Paragraph)]
    assert "".join(run.text for run in head.runs).startswith("Differs from T9: wires 48B, 48C, cavity.")


def test_the_printed_page_of_a_changed_sheet_says_so(new: Variant, old: Inventory) -> None:
    pack, _ = section(new, old)
    (data,) = write_pdf(pack).values()
    done = subprocess.run(["pdftotext", "-", "-"], input=data, capture_output=True, check=True)
    pages = [" ".join(page.split()) for page in done.stdout.decode("utf-8").split("\f")]
    found = {page.split()[1] for page in pages if page.startswith("Sheet ") and "since issue 1" in page[:200]}
    assert found >= {"38", "39", "40"}


def test_an_end_that_is_no_longer_known_stands_as_not_given(tmp_path: Path, old: Inventory) -> None:
    text = SMALL.replace("C C12.A1 -- C40.7 2 m", "C C12.A1 -- ? 2 m")
    _, found = section(read(tmp_path, text), old)
    assert ("48C", "CIRCUIT", "end no longer known", "C40.7", "–", "38, 39") in rows(found, "changes-wires")


def test_pages_that_are_gone_are_named(tmp_path: Path) -> None:
    variant = read(tmp_path, SMALL)
    drawn = dict(figures(variant))
    more = {**drawn, "38 (2)": replace(drawn["38"], sheet="38 (2)")}
    last = build_pack(variant, more).inventory
    found = build_pack(variant, drawn, around=Around(since=last)).section("changes")
    assert [paragraph.runs[0].text for paragraph in found.paragraphs][1:] == ["No longer in this pack: sheet 38 (2)."]
    assert [row[:1] + row[2:] for row in rows(found, "changed-sheets")] == [
        ("38", "changed", "now the only page"),
        ("38", "changed", "now the only page"),
    ]
