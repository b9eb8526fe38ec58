"""CSV and JSON of a pack."""

from __future__ import annotations

import csv
import io
import json

from compiler.model.variant import Variant
from renderers.document import Pack
from renderers.writers.csv_tables import write_csv
from renderers.writers.json_data import SCHEMA, write_json

JSON_KEYS = {
    "schema", "variant", "title", "subtitle", "caution", "identification", "entries", "sheets", "sections",
}  # fmt: skip


def read(data: bytes) -> list[list[str]]:
    """Rows of a CSV file as a spreadsheet would read them."""
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def test_wires_are_one_file_that_spreadsheets_read(small_pack: Pack, small: Variant) -> None:
    data = write_csv(small_pack)["csv/wires.csv"]
    assert data.startswith(b"\xef\xbb\xbfWire,Circuit,")
    assert data.count(b"\r\n") == data.count(b"\n") == len(small.wires) + 1
    rows = {row[0]: row for row in read(data)}
    assert rows["48C"][:7] == ["48C", "48", "C", "C12.A1 Bulkhead", "C40.7 Tailgate hinge", "2.5 mm²", "BK/WH"]


def test_connectors_are_one_file_that_names_their_halves(small_pack: Pack) -> None:
    head, *rows = read(write_csv(small_pack)["csv/connectors.csv"])
    assert head[:4] == ["Connector", "Side 1", "Side 2", "Cavity"]
    assert [name for name in head if name.startswith("Goes to")] == ["Goes to, side 1", "Goes to, side 2"]
    assert {row[0] for row in rows} == {"C12", "C40"}
    row = next(row for row in rows if row[0] == "C40" and row[3] == "7")
    assert row[1:3] == ["Body harness side", "Tailgate harness side"]
    assert len(row) == len(head)


def test_no_cell_is_taken_for_a_formula(hostile_pack: Pack) -> None:
    cells = [cell for data in write_csv(hostile_pack).values() for row in read(data) for cell in row]
    assert "'=1+2" in cells
    assert "'@SUM(A1)" in cells
    assert [cell for cell in cells if cell[:1] in ("=", "+", "-", "@", "\t", "\r")] == []


def test_files_are_named_by_table_and_never_by_a_source(hostile_pack: Pack, small_pack: Pack) -> None:
    assert list(write_csv(hostile_pack)) == list(write_csv(small_pack))
    assert all(
        name.replace("-", "").removesuffix(".csv").removeprefix("csv/").isalpha() for name in write_csv(small_pack)
    )


def test_the_index_has_no_letter_heads(small_pack: Pack) -> None:
    rows = read(write_csv(small_pack)["csv/index-names.csv"])
    assert all(row[1] for row in rows)


def test_json_has_its_shape(small_pack: Pack, small: Variant) -> None:
    (data,) = write_json(small_pack).values()
    pack = json.loads(data)
    assert set(pack) == JSON_KEYS
    assert (pack["schema"], pack["variant"]) == (SCHEMA, "T1")
    assert {entry["id"] for entry in pack["entries"]} >= set(small.items)
    section = next(s for s in pack["sections"] if s["id"] == "wires")
    table = next(b for b in section["blocks"] if b["block"] == "table" and b["id"] == "wires")
    row = next(row for row in table["rows"] if row["wire"] == "48C")
    assert row["cells"]["colour"] == "BK/WH"
    assert row["circuits"] == ["48"]
    assert row["links"]["to"] == ["cavity-C40_2e_7"]
    assert row["swatches"]["colour"] == ["#1A1A1A", "#FFFFFF"]
    assert [column["key"] for column in table["columns"]] == list(dict.fromkeys(c["key"] for c in table["columns"]))
    assert set(row["cells"]) == {column["key"] for column in table["columns"]}


def test_json_keys_are_sorted_and_hostile_words_come_back(hostile_pack: Pack) -> None:
    (data,) = write_json(hostile_pack).values()
    pack = json.loads(data)
    assert json.dumps(pack, ensure_ascii=False, sort_keys=True, indent=1) + "\n" == data.decode("utf-8")
    assert pack["title"] == "<script>alert(1)</script>"


def test_two_builds_are_the_same(small_pack: Pack) -> None:
    assert write_csv(small_pack) == write_csv(small_pack)
    assert write_json(small_pack) == write_json(small_pack)
