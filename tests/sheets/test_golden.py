"""Golden drawings of the tour vehicle. A drawing that changed is shown beside the old one: the test names an HTML page.

To accept what changed: GOLDENS=write bash tests/run -k golden
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from renderers.sheets.png import png

from .conftest import drawn

FOLDER = Path(__file__).with_name("goldens")


def _file(sheet: str) -> Path:
    return FOLDER / f"{sheet.replace(' ', '-')}.svg"


def _lines(svg: str) -> str:
    """One element a line, so that a changed golden reads well in a difference."""
    return svg.replace("><", ">\n<")


@pytest.mark.parametrize("sheet", list(drawn("tour").figures))
def test_golden(sheet: str, tmp_path: Path) -> None:
    new = _lines(drawn("tour").figures[sheet].svg)
    path = _file(sheet)
    if os.environ.get("GOLDENS") == "write":
        path.parent.mkdir(exist_ok=True)
        path.write_text(new, "utf-8")
    old = path.read_text("utf-8") if path.is_file() else ""
    if new != old:
        page = tmp_path / "before-and-after.html"
        page.write_text(f"<h1>Sheet {sheet}</h1><h2>Before</h2>{old}<h2>After</h2>{new}", "utf-8")
        pytest.fail(f"sheet {sheet} is drawn otherwise than before; both are in {page}")


def test_no_golden_is_left_over() -> None:
    assert {p.name for p in FOLDER.glob("*.svg")} == {_file(s).name for s in drawn("tour").figures}


def test_a_sheet_as_a_picture() -> None:
    figure = drawn("tour").figures["1"]
    picture = png(figure, 100)
    assert picture[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = (int.from_bytes(picture[i : i + 4], "big") for i in (16, 20))
    assert (width, height) == (round(figure.width_pt * 100 / 72), round(figure.height_pt * 100 / 72))
    with pytest.raises(ValueError, match="dots per inch"):
        png(figure, 5)
