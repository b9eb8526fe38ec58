"""What is read as one stays on one line, in print and on the screen; data files keep plain spaces."""

from __future__ import annotations

import pytest

from renderers.document import Pack, Paragraph
from renderers.tables import Column, Row, Run, Table, cell
from renderers.unbroken import held, unbroken
from renderers.writers.csv_tables import write_csv
from renderers.writers.html_folder import write_html
from renderers.writers.json_data import write_json
from renderers.writers.print_cells import runs_data, table_data


@pytest.mark.parametrize(
    "text",
    [
        "wire 48B (BK/WH, 2.5_mm²) feeds it",
        "splice, 200_mm from C12, 14_AWG",
        "14_% of it, 3.7_A and 12_V; under 10_ohm.",
        "see sheet_10 and sheets_22, 24",
        "Sheet_12_(2), zone_C4: p._12",
        "Glow plug, cylinder_1",
        "Cab feed_1, then Cab feed_2.",
        "Crank sensor_-",
        "12 Amber lamps, 5 men, these are 5.5 each, engine 2500",
        "spare 11 12 13",
    ],
)
def test_a_figure_and_what_it_counts_stay_together(text: str) -> None:
    assert unbroken(text.replace("_", " ")) == text.replace("_", "\u00a0")


def test_a_sheet_stays_with_the_word_before_it_in_another_run() -> None:
    found = held((Run("in the bay; sheets "), Run("10 (2) D1", "sheet-10_20_28_2_29"), Run(", "), Run("P C4", "sheet-P")))
    assert [run.text for run in found] == ["in the bay; sheets\u00a0", "10\u00a0(2)\u00a0D1", ", ", "P\u00a0C4"]


def test_what_is_wider_than_its_column_still_breaks() -> None:
    def in_column(wide: int) -> object:
        table = Table("t", "", (Column("a", "A", width=wide), Column("b", "B", width=112 - wide)), (row,))
        return table_data(table)["rows"][0]["c"][0]

    row = Row((cell("Glow plug, cylinder 1"), cell("")))
    assert in_column(30) == "Glow plug, cylinder\u00a01"
    assert in_column(9) == "Glow plug, cylinder 1"
    assert in_column(6) == "Glow plug, cylin\u200bder 1"


def test_an_id_is_broken_only_where_its_column_is_too_narrow() -> None:
    def first(wide: int) -> object:
        columns = (Column("a", "A", "id", wide), Column("b", "B", width=100 - wide))
        return table_data(Table("t", "", columns, (Row((cell("MAIN-BUS"), cell("x"))),)))["rows"][0]["c"][0]

    assert first(12) == {"r": [["MAIN-BUS", "", False, False, True]]}
    assert first(8) == "MAIN-BUS"


def test_a_column_of_figures_beside_another_is_as_wide_as_its_title() -> None:
    columns = (Column("a", "Load, A", "number", 5), Column("b", "Margin, A", "number", 5), Column("c", "Name", width=90))
    found = [column["width"] for column in table_data(Table("t", "", columns, ()))["columns"]]
    assert found[0] == 5
    assert found[1] > 7
    assert found[2] == 90


def test_the_reason_for_no_wire_has_the_room_of_two_columns() -> None:
    columns = tuple(Column(key, key) for key in "abcd")
    row = Row((cell("10"), cell("plugged", mark="plugged"), cell(""), cell("")), marks=("plugged",))
    assert table_data(Table("t", "", columns, (row,)))["rows"][0]["c"] == [
        "10",
        {"r": "plugged", "m": "plugged", "w": 2},
        "",
    ]


def test_every_form_for_reading_holds_and_no_form_for_data_does(small_pack: Pack) -> None:
    page = write_html(small_pack)["index.html"].decode("utf-8")
    assert ">2.5\u00a0mm²<" in page
    assert ">2.5 mm²<" not in page
    for data in (write_csv(small_pack), write_json(small_pack)):
        assert not any("2.5\u00a0mm²" in file.decode("utf-8") for file in data.values())
        assert any("2.5 mm²" in file.decode("utf-8") for file in data.values())


def test_paragraphs_are_held_too(small_pack: Pack) -> None:
    words = [run.text for p in small_pack.section("splices").leaves if isinstance(p, Paragraph) for run in p.runs]
    assert all("\u00a0" not in text for text in words)
    assert runs_data((Run("under 2.5 mm², on sheet "), Run("12 C4", "sheet-12"))) == [
        "under 2.5\u00a0mm², on sheet\u00a0",
        ["12\u00a0C4", "sheet-12", False, False, False],
    ]
