"""Golden drawings of the tour vehicle. A drawing that changed is shown beside the old one: the test writes
before.png, after.png and a page with both, says where they lie, and gives the measures of both.

To accept what changed: GOLDENS=write bash tests/run -k golden
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from renderers.sheets import SheetFigure
from renderers.sheets.measure import measure
from renderers.sheets.png import png

from .conftest import drawn

SIZE = re.compile(r'(?:width|height)="([\d.]+)pt"')
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
        pytest.fail(_told_apart(sheet, old, new, tmp_path))


def _told_apart(sheet: str, old: str, new: str, folder: Path) -> str:
    """Write both drawings as pictures and side by side on a page; in words, what their measures are and where they lie."""
    lines = [f"sheet {sheet} is drawn otherwise than before; look at them side by side: {folder / 'both.html'}"]
    shown = []
    for name, svg in (("before", old), ("after", new)):
        if not svg:
            lines.append(f"{name}: no drawing")
            continue
        wide, high = (float(n) for n in SIZE.findall(svg)[:2])
        picture = folder / f"{name}.png"
        picture.write_bytes(png(SheetFigure(sheet, "", svg, wide, high, ""), 150))
        found = measure(svg)
        lines.append(
            f"{name}: {found.wires} wires, {found.crossings} crossings, {found.bends} bends, "
            f"{len(found.faults)} faults, smallest text {found.smallest_text_pt:.2f} pt: {picture}"
        )
        shown.append(f'<figure><figcaption>{lines[-1]}</figcaption><img src="{picture.name}" width="100%"></figure>')
    style = "body { display: grid; grid-template-columns: 1fr 1fr }"
    (folder / "both.html").write_text(f"<style>{style}</style>{''.join(shown)}", "utf-8")
    return "\n".join(lines)


def test_a_changed_golden_is_shown_before_and_after(tmp_path: Path) -> None:
    new = drawn("tour").figures["2"].svg
    old = new.replace(">10E<", ">10X<")
    told = _told_apart("2", old, new, tmp_path)
    assert "before: " in told
    assert "0 faults" in told
    assert (tmp_path / "before.png").read_bytes() != (tmp_path / "after.png").read_bytes()
    assert "after.png" in (tmp_path / "both.html").read_text("utf-8")


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
