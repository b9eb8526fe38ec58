"""Text from a source cannot leave its place in a drawing, and whatever is not text stays out."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from compiler.model.variant import Variant
from renderers.sheets import draw_sheets
from tests.renderers.vehicles import HOSTILE, SMALL, TITLES, read

from .netlist import differences

ALLOWED = {"svg", "g", "path", "rect", "circle", "text"}


@pytest.fixture
def hostile(tmp_path: Path) -> Variant:
    """A vehicle with hostile words in every title, note and place."""
    words = [text.replace("\\", "\\\\").replace('"', '\\"') for text in HOSTILE]
    text = SMALL
    for place, plain in enumerate(TITLES):
        text = text.replace(f'"{plain}"', f'"{words[place % len(words)]}"')
    return read(tmp_path, text)


def test_hostile_words_stay_words(hostile: Variant) -> None:
    figures = draw_sheets(hostile)
    assert figures
    seen = ""
    for figure in figures.values():
        for element in ElementTree.fromstring(figure.svg).iter():
            kind = element.tag.rpartition("}")[2]
            assert kind in ALLOWED
            assert not any(name.startswith("on") or "href" in name for name in element.attrib)
            seen += f"{element.text or ''} "
    assert "<script>" in seen, "the words are shown as they were written"
    assert "\u202e" not in seen, "what turns a line about is not"


def test_a_hostile_sheet_reads_back(hostile: Variant) -> None:
    assert list(differences(hostile, draw_sheets(hostile))) == []


def test_no_drawing_asks_for_anything_outside() -> None:
    from .conftest import drawn

    for figure in drawn("tour").figures.values():
        assert "href" not in figure.svg
        assert "url(" not in figure.svg
        assert "<style" not in figure.svg
        assert figure.svg.count("http") == 1, "only the name of the SVG language itself"
