"""The wire list from outside that is carried in samples/real-harness: nothing of it is lost."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from compiler.checks.run import check_variant
from compiler.exchange.drafting import Wanted
from compiler.exchange.imported import Imported, import_wire_list
from compiler.exchange.problems import Sort
from compiler.exchange.wirelist import File
from compiler.model.variant import Variant
from grammar.finding import Severity
from tests.exchange.rows import ModelRow, model_rows, variant_of

WIRES, ITEMS, FUSES = 128, 79, 20


@pytest.fixture(scope="module")
def folder(root: Path) -> Path:
    return root / "samples" / "real-harness"


@pytest.fixture(scope="module")
def source(folder: Path) -> str:
    return (folder / "base-module.loom").read_text("utf-8")


@pytest.fixture(scope="module")
def variant(source: str) -> Variant:
    return variant_of(source)


@pytest.fixture(scope="module")
def again(folder: Path) -> Imported:
    def file(name: str) -> File:
        return File(name, (folder / name).read_bytes())

    comment = tuple((folder / "HEADER.txt").read_text("utf-8").splitlines())
    wanted = Wanted("base-module", "Base module of a sample harness", "main", "german", comment)
    return import_wire_list(file("wires.csv"), file("items.csv"), file("fuses.csv"), wanted)


def listed(folder: Path, name: str) -> list[dict[str, str]]:
    with (folder / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_every_row_of_the_wire_list_is_a_wire_of_the_model(folder: Path, source: str) -> None:
    splices = {row["item"] for row in listed(folder, "items.csv") if row["kind"] == "splice"}

    def end(item: str, cavity: str) -> tuple[str, str]:
        # A splice has no cavities in this language; the list numbers the only one it has.
        assert item not in splices or cavity == "1"
        return (item, "" if item in splices else cavity)

    expected = sorted(
        ModelRow(
            row["wire"],
            row["circuit"],
            end(row["from_item"], row["from_cavity"]),
            end(row["to_item"], row["to_cavity"]),
            row["colour"],
            f"{float(row['csa_mm2']):g} mm2",
            float(row["length_mm"]) or None,  # the bridge of length 0: see the test of the note
        )
        for row in listed(folder, "wires.csv")
    )
    found = sorted(
        row._replace(size=f"{float(row.size.split()[0]):g} mm2" if row.size else None) for row in model_rows(source)
    )
    assert len(expected) == WIRES
    assert found == expected


def test_the_length_of_0_is_kept_in_words(variant: Variant, folder: Path) -> None:
    (row,) = (row for row in listed(folder, "wires.csv") if not float(row["length_mm"]))
    (wire,) = (wire for wire in variant.wires if wire.length_m is None)
    assert (wire.circuit, wire.segment) == (row["circuit"], row["wire"])
    assert wire.notes == (f"length_mm in the list: {row['length_mm']}",)


def test_every_item_of_the_list_is_there_with_its_title_and_cavities(variant: Variant, folder: Path) -> None:
    rows = listed(folder, "items.csv")
    assert len(rows) == ITEMS
    for row in rows:
        item, count = row["item"], row["cavities"]
        if row["kind"] == "splice":
            assert variant.splices[item].title == row["description"]
        elif row["kind"] == "ring terminal":
            assert variant.devices[item].kind == "ring-terminal"
            assert variant.devices[item].terminals == ("1",)
        elif item in variant.connectors:
            connector = variant.connectors[item]
            assert variant.devices[connector.device].title == row["description"]
            assert not count or len(connector.cavities) == int(count)
        else:
            assert variant.devices[item].title == row["description"]
            assert not count


def test_every_fuse_of_the_list_is_there_with_its_rating(variant: Variant, folder: Path) -> None:
    rows = listed(folder, "fuses.csv")
    assert len(rows) == FUSES
    types = {"Type_C": "blade", "Type_E": "maxi", "Form_CB15_CatE": ""}
    for row in rows:
        fuse = variant.devices[row["fuse"]]
        _, kind, rating = row["rating"].split()
        assert fuse.title == row["description"]
        assert fuse.ratings["current"] == float(rating.removesuffix("A"))
        assert fuse.word("type") == types[kind]
        assert any(row["mounted_in"] in note for note in fuse.notes)


def test_the_source_is_what_the_lists_give(again: Imported, source: str) -> None:
    assert again.text == source


def test_what_cannot_be_read_is_told(again: Imported) -> None:
    told = [(remark.sort, remark.file, remark.line, remark.value) for remark in again.remarks]
    assert told == [
        (Sort.NOT_READ, "wires.csv", 129, "0.0"),
        (Sort.NOT_READ, "fuses.csv", 2, "Sicherung Form_CB15_CatE 20.0A"),
    ]


def test_it_checks_without_errors(folder: Path) -> None:
    path = folder / "base-module.loom"
    checked = check_variant(Library(find_project(path)), path)
    assert [finding for finding in checked.findings if finding.severity is Severity.ERROR] == []


def test_every_circuit_is_on_a_sheet_once(variant: Variant) -> None:
    on_sheets = [word.text for sheet in variant.sheets.values() for word, _ in sheet.circuits]
    assert sorted(on_sheets) == sorted(variant.circuits)


def test_origin_and_licence_are_named(folder: Path, source: str) -> None:
    told = (folder / "SOURCE.md").read_text("utf-8")
    head = " ".join(line.removeprefix("#").strip() for line in source.split("\n\n", 1)[0].splitlines())
    for words in ("CC BY-SA 4.0", "prostep-ivip-e-V/vec", "acdd2f87bfdb6784572b7a34a7d6455189316787"):
        assert words in told
        assert words in head
