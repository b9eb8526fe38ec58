"""What is read as one stays on one line, in print and on the screen; data files keep plain spaces."""

from __future__ import annotations

import pytest

from renderers.document import Pack, Paragraph
from renderers.tables import Run
from renderers.unbroken import held, unbroken
from renderers.writers.csv_tables import write_csv
from renderers.writers.html_folder import write_html
from renderers.writers.json_data import write_json
from renderers.writers.print_cells import runs_data


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
    assert runs_data((Run("Glow plug, cylinder 1"),), 30) == "Glow plug, cylinder\u00a01"
    assert runs_data((Run("Glow plug, cylinder 1"),), 9) == "Glow plug, cylinder 1"
    assert runs_data((Run("Glow plug, cylinder 1"),), 6) == "Glow plug, cylin\u200bder 1"


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
        ["12\u00a0C4", "sheet-12", False, False],
    ]
