"""The published wire list of the real harness against the list it came from, row by row: nothing is lost on the way."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from compiler.checks.run import check_variant
from renderers.publish import publish

SAMPLE = Path(__file__).parents[2] / "samples" / "real-harness"


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, str], dict[str, str]]:
    path = SAMPLE / "base-module.loom"
    project = find_project(path)
    checked = check_variant(Library(project), path)
    assert checked.variant is not None
    out = tmp_path_factory.mktemp("pack") / "list"
    publish(checked.variant, project, out, formats=("csv",))
    rows = rows_of(out / "csv" / "wires.csv")
    found = {(row["Circuit"], row["Seg."]): row for row in rows}
    assert len(found) == len(rows)
    return found


def test_every_wire_of_the_list_is_published(published: dict[tuple[str, str], dict[str, str]]) -> None:
    listed = rows_of(SAMPLE / "wires.csv")
    assert len(listed) == 128
    assert {(row["circuit"], row["wire"]) for row in listed} == set(published)


def test_ends_colour_size_and_length_are_those_of_the_list(
    published: dict[tuple[str, str], dict[str, str]],
) -> None:
    splices = {row["item"] for row in rows_of(SAMPLE / "items.csv") if row["kind"] == "splice"}
    for row in rows_of(SAMPLE / "wires.csv"):
        printed = published[row["circuit"], row["wire"]]
        for end, column in (("from", "From"), ("to", "To")):
            item, cavity = row[f"{end}_item"], row[f"{end}_cavity"]
            place = item if item in splices else f"{item}.{cavity}"
            assert printed[column].split()[0] == place, row
        assert printed["Colour"] == row["colour"], row
        assert printed["Size"] == f"{row['csa_mm2']} mm²", row
        if Decimal(row["length_mm"]) == 0:
            # The list gives this one wire no length: it is a bridge inside a box. The note keeps what the list says.
            assert "0.0" in printed["Notes"], row
        else:
            assert Decimal(printed["Length, m"]) * 1000 == Decimal(row["length_mm"]), row
