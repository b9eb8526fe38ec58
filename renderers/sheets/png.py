"""A sheet as a picture of points, for those who cannot take SVG. Made by the print engine, with the page font."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from compiler.fonts import font_folder

if TYPE_CHECKING:
    from renderers.sheets.figure import SheetFigure


def png(figure: SheetFigure, dots_per_inch: int = 200) -> bytes:
    """The PNG file of a sheet at its printed size. Raises ValueError for a resolution out of 36 to 1200."""
    import typst  # loaded only by those who ask for a picture

    if not 36 <= dots_per_inch <= 1200:
        raise ValueError(f"a resolution of {dots_per_inch} dots per inch is not one of 36 to 1200")
    page = (
        f"#set page(width: {figure.width_pt}pt, height: {figure.height_pt}pt, margin: 0pt)\n"
        f'#image("sheet.svg", width: {figure.width_pt}pt)\n'
    )
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "sheet.svg").write_text(figure.svg, encoding="utf-8")
        (folder / "sheet.typ").write_text(page, encoding="utf-8")
        fonts = typst.Fonts(include_system_fonts=False, font_paths=[str(font_folder())])
        compiler = typst.Compiler(folder / "sheet.typ", root=folder, font_paths=fonts, ignore_system_fonts=True)
        made = compiler.compile(format="png", ppi=float(dots_per_inch))
    assert isinstance(made, bytes)
    return made
