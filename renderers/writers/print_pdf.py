"""The pack as one PDF: tagged (PDF/UA-1), bookmarked, with page references. Laid out by typst from `templates/print`.

Data goes in as JSON, so that no text from a source is ever read as markup.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from importlib.resources import files
from typing import Any, Literal, NamedTuple

from renderers.document import Block, Bullets, Caution, Figure, Group, Leaf, Pack, Paragraph, Section
from renderers.fonts import FAMILY, printable
from renderers.steps import Steps
from renderers.store import Store
from renderers.tables import NEXT_LINE, Cell, Row, Run, Table, lean
from renderers.text import file_name
from renderers.writers.html_folder import group_edges, heads
from renderers.writers.print_engine import TEMPLATE, Job, printed, source_date

Paper = Literal["a4", "us-letter"]
Json = dict[str, Any]

_SIZES: dict[Paper, tuple[float, float]] = {"a4": (595.28, 841.89), "us-letter": (612.0, 792.0)}
_MARGIN_X, _MARGIN_TOP, _MARGIN_BOTTOM = 42.0, 56.0, 52.0
# A sheet fills its page but for the line that names it and the foot: A4 on its side is 595 points high, a sheet 539.
_SHEET_TOP, _SHEET_HEAD, _SHEET_BOTTOM, _SHEET_LEAST_X = 15.0, 14.0, 26.0, 20.0
# How much of a page's height another drawing may take.
_LARGEST_SHARE = 0.62
_LONGEST_CONTENTS = 50
# A row of so many lines, about, may be parted by the end of a page; one of a page and more would be cut off otherwise.
_LONGEST_WHOLE = 25


_UNITS = ("mm²", "AWG", "SAE", "V", "mV", "A", "W", "kW", "Ω", "mΩ", "kΩ", "Ah", "µF", "m", "min")
_UNIT_ENDS = frozenset(unit[-1] for unit in _UNITS)
_QUANTITY = re.compile(rf"(\d) ({'|'.join(_UNITS)})(?![\w²])")
_STRETCH = re.compile(r"[^\s/-]+")
_COLOUR_AND_SIZE = re.compile(r"^ ([A-Za-z/]+) (?=\d)")


class _Room(NamedTuple):
    width: float
    height: float


def write_pdf(pack: Pack, paper: Paper = "a4", store: Store | None = None, date: int | None = None) -> dict[str, bytes]:
    """`VARIANT.pdf`; an equal one is taken from the store. Raises PrintError.

    The file carries no time but `date` (seconds since 1970), or where that is not given, SOURCE_DATE_EPOCH.
    """
    return {f"{file_name(pack.variant)}.pdf": printed(print_job(pack, paper, date), store or Store(None))}


def print_job(pack: Pack, paper: Paper = "a4", date: int | None = None) -> Job:
    """All that the print engine needs for a pack."""
    layout = _Layout(paper)
    timestamp = source_date() if date is None else date
    data = layout.pack(pack) | {"dated": timestamp is not None}
    template = files("renderers").joinpath("templates", "print", TEMPLATE).read_bytes()
    held = {"pack.json": json.dumps(data, ensure_ascii=False).encode("utf-8"), TEMPLATE: template}
    held |= {name: svg.encode("utf-8") for name, svg in layout.drawings.items()}
    return Job(held, timestamp)


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
        # Hundreds of connectors are found by bookmark and index; in the contents they would bury the rest.
        outlined = sum(isinstance(block, Group) for block in section.blocks) <= _LONGEST_CONTENTS
        return {
            "anchor": section.anchor,
            "title": printable(section.title),
            "caution": printable(section.caution),
            "blocks": [self._block(block, outlined=outlined) for block in section.blocks],
        }

    def _block(self, block: Block, *, outlined: bool) -> Json:
        if not isinstance(block, Group):
            return self._leaf(block)
        drawn = next((leaf for leaf in block.blocks if isinstance(leaf, Figure) and leaf.sheet), None)
        if drawn is not None:
            return self._sheet(block, drawn) | {"outlined": outlined}
        return {
            "t": "group",
            "id": block.id,
            "title": printable(block.title),
            "outlined": outlined,
            "blocks": [self._leaf(leaf) for leaf in block.blocks],
        }

    def _sheet(self, group: Group, figure: Figure) -> Json:
        """A wiring sheet on a page of its own, turned if it is wide."""
        wide = figure.width_pt > figure.height_pt
        width, height = _SIZES[self.paper][::-1] if wide else _SIZES[self.paper]
        room = _Room(width - 2 * _SHEET_LEAST_X, height - _SHEET_TOP - _SHEET_HEAD - _SHEET_BOTTOM)
        data = self._figure(figure, room, 1.0)
        side = max(_SHEET_LEAST_X, (width - data["width"]) / 2 - 0.01)
        see = next((leaf for leaf in group.blocks if isinstance(leaf, Paragraph)), None)
        return data | {
            "t": "sheet",
            "id": group.id,
            "title": printable(group.title),
            "wide": wide,
            "margin": {"x": round(side, 2), "top": _SHEET_TOP, "bottom": _SHEET_BOTTOM},
            "see": _runs(see.runs) if see else "",
        }

    def _leaf(self, leaf: Leaf) -> Json:
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
                return self._figure(leaf, self.room, _LARGEST_SHARE)
            case Steps():
                return _table(leaf.table)
            case Table():
                return _table(leaf)

    def _figure(self, figure: Figure, room: _Room, share: float) -> Json:
        file = f"figure-{len(self.drawings)}.svg"
        self.drawings[file] = printable(figure.svg)
        scale = min(1.0, room.width / figure.width_pt, room.height * share / figure.height_pt)
        return {
            "t": "figure",
            "file": file,
            "title": printable(figure.title),
            "alt": printable(figure.alt) or "drawing",
            "width": round(figure.width_pt * scale, 2),
            "height": round(figure.height_pt * scale, 2),
        }


def _table(table: Table) -> Json:
    table = lean(table)
    limits = [_limit(column.width, table) for column in table.columns]
    return {
        "t": "table",
        "title": printable(table.title),
        "heads": _heads(table),
        "columns": [
            {"title": printable(c.title), "width": c.width, "kind": c.kind, "edge": edge}
            for c, edge in zip(table.columns, group_edges(table), strict=True)
        ],
        "rows": [_row(row, limits) for row in table.rows],
        "pages": _paged(run for row in table.rows for cell in row.cells for run in cell.runs),
        "notes": [printable(note) for note in table.notes],
    }


def _heads(table: Table) -> list[list[str | int]]:
    """The upper row of the head. It stands again on every page of the table, so it says whose table it is."""
    spans: list[list[str | int]] = [[printable(title), span] for title, span in heads(table)]
    if spans and not spans[0][0]:
        spans[0][0] = printable(table.member)
    return spans


def _limit(width: float, table: Table) -> int:
    """About how many characters of table type fit in a column."""
    total = sum(column.width for column in table.columns)
    return max(4, int(width / total * 112))


def _row(row: Row, limits: list[int]) -> Json:
    head = "head" in row.marks
    lines = max((len(cell.text) / limit for cell, limit in zip(row.cells, limits, strict=True)), default=0)
    return {
        "a": row.anchor,
        "h": head,
        "g": bool(row.marks) and not head,
        "b": lines > _LONGEST_WHOLE,
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
        if text == NEXT_LINE:
            shown.append(";\n")
            continue
        words = printable(text)
        # A sheet's name is never parted from its page and zone.
        words = words.replace(" ", "\u00a0") if link.startswith("sheet-") else _breakable(_unbroken(words), limit)
        shown.append([words, link, muted, page] if link or muted or page else words)
    if all(isinstance(run, str) for run in shown):
        return "".join(shown)
    return shown


def _unbroken(text: str) -> str:
    """The text with its quantities, and a wire's colour before its size, held on one line."""
    if text[-1:] not in _UNIT_ENDS:
        return text
    return _COLOUR_AND_SIZE.sub("\u00a0\\1\u00a0", _QUANTITY.sub("\\1\u00a0\\2", text))


def _paged(runs: Iterable[Run]) -> list[str]:
    """The links whose page is wanted, each once."""
    return list(dict.fromkeys(run.link for run in runs if run.page))


def _breakable(text: str, limit: int) -> str:
    """The text with places to break in stretches that are longer than their column and offer none."""
    if len(text) <= limit:
        return text
    return _STRETCH.sub(lambda match: _broken(match[0], limit), text)


def _broken(stretch: str, limit: int) -> str:
    if len(stretch) <= limit:
        return stretch
    return "\u200b".join(stretch[at : at + limit - 1] for at in range(0, len(stretch), limit - 1))
