"""The pack as one PDF: tagged (PDF/UA-1), bookmarked, with page references. Laid out by typst from `templates/print`.

Data goes in as JSON, so that no text from a source is ever read as markup.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Literal, NamedTuple

from renderers.document import Block, Bullets, Caution, Figure, Group, Leaf, Pack, Paragraph, Section
from renderers.fonts import FAMILY, font_folder, printable
from renderers.tables import Cell, Row, Run, Table
from renderers.writers.html_folder import heads

Paper = Literal["a4", "us-letter"]
Json = dict[str, Any]

_SIZES: dict[Paper, tuple[float, float]] = {"a4": (595.28, 841.89), "us-letter": (612.0, 792.0)}
_MARGIN_X, _MARGIN_TOP, _MARGIN_BOTTOM = 42.0, 56.0, 52.0
# What a sheet's page needs besides the drawing: its heading and the line of other sheets.
_SHEET_EXTRA = 64.0


class PrintError(Exception):
    """The print engine refused the pack; the message is its own words."""


class _Room(NamedTuple):
    width: float
    height: float

    @property
    def turned(self) -> _Room:
        return _Room(
            self.height + _MARGIN_TOP + _MARGIN_BOTTOM - 2 * _MARGIN_X, self.width + 2 * _MARGIN_X - _MARGIN_TOP - _MARGIN_BOTTOM
        )


def write_pdf(pack: Pack, paper: Paper = "a4") -> dict[str, bytes]:
    """`VARIANT.pdf`. Raises PrintError.

    The file carries no time; where SOURCE_DATE_EPOCH is set, it carries that.
    """
    layout = _Layout(paper)
    data = layout.pack(pack)
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    dated = epoch.isascii() and epoch.isdigit()
    data["dated"] = dated
    # A folder of its own: what the engine lacks in it, it would look for elsewhere.
    with TemporaryDirectory(prefix="loomwright-print-") as name:
        folder = Path(name)
        (folder / "pack.json").write_text(json.dumps(data, ensure_ascii=False), "utf-8")
        (folder / "pack.typ").write_text(
            files("renderers").joinpath("templates", "print", "pack.typ").read_text("utf-8"), "utf-8"
        )
        for file, svg in layout.drawings.items():
            (folder / file).write_text(svg, "utf-8")
        return {f"{_file_name(pack.variant)}.pdf": _compile(folder, int(epoch) if dated else 0)}


def _compile(folder: Path, timestamp: int) -> bytes:
    import typst

    fonts = typst.Fonts(include_system_fonts=False, font_paths=[str(font_folder())])
    compiler = typst.Compiler(folder / "pack.typ", root=folder, font_paths=fonts, ignore_system_fonts=True)
    try:
        return compiler.compile(format="pdf", pdf_standards=["ua-1"], timestamp=timestamp)
    except typst.TypstError as error:
        raise PrintError(str(error)) from error


def _file_name(variant: str) -> str:
    """The variant's id as a file name: other characters than letters, digits, dot, hyphen and underscore replaced."""
    name = "".join(char if char.isascii() and (char.isalnum() or char in ".-_") else "_" for char in variant)
    return name.lstrip(".") or "pack"


class _Layout:
    """Turns a pack into the data that the template reads; `drawings` are the SVG files that go beside it."""

    def __init__(self, paper: Paper) -> None:
        self.paper = paper
        width, height = _SIZES[paper]
        self.room = _Room(width - 2 * _MARGIN_X, height - _MARGIN_TOP - _MARGIN_BOTTOM)
        self.drawings: dict[str, str] = {}

    def pack(self, pack: Pack) -> Json:
        return {
            "title": printable(pack.title),
            "subtitle": printable(pack.subtitle),
            "identification": [[printable(label), printable(value)] for label, value in pack.identification],
            "caution": printable(pack.caution),
            "paper": self.paper,
            "font": FAMILY,
            "margin": {"x": _MARGIN_X, "top": _MARGIN_TOP, "bottom": _MARGIN_BOTTOM},
            "sections": [self._section(section) for section in pack.sections],
        }

    def _section(self, section: Section) -> Json:
        return {
            "anchor": section.anchor,
            "title": printable(section.title),
            "caution": printable(section.caution),
            "blocks": [self._block(block) for block in section.blocks],
        }

    def _block(self, block: Block) -> Json:
        if not isinstance(block, Group):
            return self._leaf(block)
        sheets = [leaf for leaf in block.blocks if isinstance(leaf, Figure) and leaf.sheet]
        wide = bool(sheets) and _better_turned(sheets[0], self.room)
        return {
            "t": "group",
            "id": block.id,
            "title": printable(block.title),
            "sheet": bool(sheets),
            "wide": wide,
            "blocks": [self._leaf(leaf, wide=wide) for leaf in block.blocks],
        }

    def _leaf(self, leaf: Leaf, *, wide: bool = False) -> Json:
        match leaf:
            case Paragraph():
                return {"t": "p", "r": _runs(leaf.runs), "pages": _paged(leaf.runs)}
            case Bullets():
                pages = _paged(run for item in leaf.items for run in item)
                return {"t": "ol" if leaf.numbered else "ul", "i": [_runs(item) for item in leaf.items], "pages": pages}
            case Caution():
                return {
                    "t": "caution",
                    "title": printable(leaf.title),
                    "r": _runs(leaf.runs),
                    "pages": _paged(leaf.runs),
                }
            case Figure():
                return self._figure(leaf, self.room.turned if wide else self.room)
            case Table():
                return _table(leaf)

    def _figure(self, figure: Figure, room: _Room) -> Json:
        file = f"figure-{len(self.drawings)}.svg"
        self.drawings[file] = printable(figure.svg)
        high = room.height - _SHEET_EXTRA if figure.sheet else room.height * 0.62
        scale = min(1.0, room.width / figure.width_pt, high / figure.height_pt)
        return {
            "t": "figure",
            "file": file,
            "title": "" if figure.sheet else printable(figure.title),
            "alt": printable(figure.alt) or "drawing",
            "width": round(figure.width_pt * scale, 2),
            "height": round(figure.height_pt * scale, 2),
        }


def _better_turned(figure: Figure, room: _Room) -> bool:
    """Whether a sheet comes out larger on a page turned on its side."""

    def scale(there: _Room) -> float:
        return min(1.0, there.width / figure.width_pt, (there.height - _SHEET_EXTRA) / figure.height_pt)

    return scale(room.turned) > scale(room)


def _table(table: Table) -> Json:
    limits = [_limit(column.width, table) for column in table.columns]
    return {
        "t": "table",
        "title": printable(table.title),
        "heads": [[printable(title), span] for title, span in heads(table)],
        "columns": [
            {"title": printable(c.title), "width": c.width, "kind": c.kind} for c in table.columns
        ],
        "rows": [_row(row, limits) for row in table.rows],
        "pages": _paged(run for row in table.rows for cell in row.cells for run in cell.runs),
        "notes": [printable(note) for note in table.notes],
    }


def _limit(width: float, table: Table) -> int:
    """About how many characters of table type fit in a column."""
    total = sum(column.width for column in table.columns)
    return max(4, int(width / total * 108))


def _row(row: Row, limits: list[int]) -> Json:
    head = "head" in row.marks
    return {
        "a": row.anchor,
        "h": head,
        "g": bool(row.marks) and not head,
        "c": [_cell(cell, limit) for cell, limit in zip(row.cells, limits, strict=True)],
    }


def _cell(cell: Cell, limit: int) -> str | Json:
    runs = _runs(cell.runs, limit)
    if cell.swatch is None and not cell.mark and isinstance(runs, str):
        return runs
    data: Json = {"r": runs}
    if cell.swatch:
        data["s"] = [cell.swatch.base, *cell.swatch.tracers]
    if cell.mark:
        data["m"] = cell.mark
    return data


def _runs(runs: Iterable[Run], limit: int = 60) -> str | list[Any]:
    """Runs as the template reads them: one string where that is all there is."""
    shown: list[Any] = []
    for text, link, muted, page in runs:
        words = _breakable(printable(text), limit)
        shown.append([words, link, muted, page] if link or muted or page else words)
    if all(isinstance(run, str) for run in shown):
        return "".join(shown)
    return shown


def _paged(runs: Iterable[Run]) -> list[str]:
    """The links whose page is wanted, each once."""
    return list(dict.fromkeys(run.link for run in runs if run.page))


def _breakable(text: str, limit: int) -> str:
    """The text with places to break in words that are longer than their column."""
    if len(text) <= limit:
        return text
    words = text.split(" ")
    return " ".join(
        word if len(word) <= limit else "\u200b".join(word[at : at + limit - 1] for at in range(0, len(word), limit - 1))
        for word in words
    )
