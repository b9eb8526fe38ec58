"""The pack in parts for print: title page and contents, then each section, or a part of a long one.

A part begins on a new page and is set by itself, so that parts are set side by side, the memory that setting takes
does not grow with the pack, and a part that did not change is not set again.
"""

from __future__ import annotations

import json
from collections.abc import Container, Iterable, Iterator, Sequence
from importlib.resources import files
from itertools import groupby
from typing import Literal, NamedTuple

from compiler.fonts import FAMILY, drawable, printable
from renderers.document import Block, Bullets, Caution, Figure, Group, Leaf, Pack, Paragraph, Section
from renderers.steps import Steps
from renderers.tables import Run, Table
from renderers.text import anchor, natural_key
from renderers.unbroken import unbroken
from renderers.writers.print_cells import Json, runs_data, table_data
from renderers.writers.print_engine import HOUSE, MAIN, Part

Paper = Literal["a4", "us-letter"]

SHEETS_A_PART = 8
# Cells from which on a part ends where another head stands: some 90 pages, which take about 3 s and 0.5 GB.
LONG = 16_000

_SIZES: dict[Paper, tuple[float, float]] = {"a4": (595.28, 841.89), "us-letter": (612.0, 792.0)}
_MARGIN_X, _MARGIN_TOP, _MARGIN_BOTTOM = 42.0, 56.0, 52.0
# A sheet fills its page but for the line that names it and the foot: A4 on its side is 595 points high, a sheet 539.
_SHEET_TOP, _SHEET_HEAD, _SHEET_BOTTOM, _SHEET_LEAST_X = 15.0, 14.0, 26.0, 20.0
# How much of a page's height another drawing may take.
_LARGEST_SHARE = 0.62
_LONGEST_CONTENTS = 50


class _Room(NamedTuple):
    width: float
    height: float


class Head(NamedTuple):
    """A head: its level (1 of a section), its name as a place, its words, whether the contents list it; whether it is
    that of a wiring sheet, which are listed in two columns."""

    level: int
    name: str
    title: str
    listed: bool
    sheet: bool = False


class Parts(NamedTuple):
    """A pack in parts, front first, and all its heads in order."""

    parts: tuple[Part, ...]
    heads: tuple[Head, ...]


def parts_of(pack: Pack, paper: Paper, timestamp: int | None) -> Parts:
    """The parts of a pack. `timestamp` is the time that the file carries: seconds since 1970, or None."""
    common: Json = {
        "title": printable(pack.title),
        "subtitle": printable(pack.subtitle),
        "caution": printable(pack.caution),
        "paper": paper,
        "font": FAMILY,
        "margin": {"x": _MARGIN_X, "top": _MARGIN_TOP, "bottom": _MARGIN_BOTTOM},
        "dated": False,
        "own-caution": "",
        "deep": 0,
    }
    heads: list[Head] = []
    parts: list[Part] = []
    first = _first_pages(pack)
    for section in pack.sections:
        heads.append(Head(1, section.anchor, printable(section.title), True))
        under = False
        for number, blocks in enumerate(_dealt(section)):
            made = _PartMaker(section, paper, number, first, under)
            under = under or any(map(_over, blocks))
            data = common | made.data(blocks)
            heads += made.heads
            files_ = _files("part", data, made.drawings)
            parts.append(Part(made.name, files_, tuple(made.targets), frozenset(made.names), data["deep"]))
    listed = [head for head in heads if head.listed]
    own = {
        "identification": [[printable(label), printable(value)] for label, value in pack.identification],
        "contents": [(head.level, head.name, head.title) for head in listed],
        "columns": _in_columns(listed),
        "dated": timestamp is not None,
    }
    names = tuple(head.name for head in listed)
    front = Part("front", _files("front", common | own, {}), names, timestamp=timestamp)
    return Parts((front, *parts), tuple(heads))


def _first_pages(pack: Pack) -> frozenset[str]:
    """The first page of each wiring sheet, by the anchor of its group."""
    found: dict[str, str] = {}
    for name, figure in sorted(pack.sheets.items(), key=lambda one: natural_key(one[0])):
        found.setdefault(figure.number or name, anchor("sheet", name))
    return frozenset(found.values())


def _in_columns(heads: Sequence[Head]) -> list[list[list[int]]]:
    """Places of heads as the contents lay them out: rows, each of one column of heads, or of two that list sheets."""
    rows: list[list[list[int]]] = []
    for of_sheets, group in groupby(range(len(heads)), key=lambda at: heads[at].sheet):
        own = list(group)
        half = (len(own) + 1) // 2
        rows.append([own[:half], own[half:]] if of_sheets and len(own) > 1 else [own])
    return rows


def _files(template: str, data: Json, drawings: dict[str, str]) -> dict[str, bytes]:
    folder = files("renderers").joinpath("templates", "print")
    held = {
        MAIN: folder.joinpath(f"{template}.typ").read_bytes(),
        HOUSE: folder.joinpath(HOUSE).read_bytes(),
        "part.json": json.dumps(data, ensure_ascii=False).encode("utf-8"),
    }
    return held | {name: svg.encode("utf-8") for name, svg in drawings.items()}


def _dealt(section: Section) -> Iterator[list[Block]]:
    """The blocks of a section in parts. A sheet has its page to itself, and so may begin one."""
    held: list[Block] = []
    sheets, cells = 0, 0
    under, low = False, False
    for block in section.blocks:
        drawn = _drawn(block) is not None
        full = sheets >= SHEETS_A_PART or not sheets if drawn else cells > LONG
        ends = _begins(block) and full and (held or not drawn) and not (held and _over(held[-1]))
        if ends or (low and _over(block)):
            yield held
            held, sheets, cells = [], 0, 0
            # A part that begins with what stands under a head over groups has no level for another such head.
            low = under and not _over(block)
        under = under or _over(block)
        held.append(block)
        sheets += drawn
        cells += _cells(block)
    yield held


def _begins(block: Block) -> bool:
    """Whether a block has a head of its own, so that a part may begin with it."""
    return isinstance(block, Group) or any(table.title for table in _tables(block))


def _over(block: Block) -> bool:
    return isinstance(block, Group) and block.over


def _drawn(block: Block) -> Figure | None:
    """The drawing of a wiring sheet, if a block is one."""
    if not isinstance(block, Group):
        return None
    return next((leaf for leaf in block.blocks if isinstance(leaf, Figure) and leaf.sheet), None)


def _cells(block: Block) -> int:
    return sum(len(table.rows) * len(table.columns) for table in _tables(block))


def _tables(block: Block) -> Iterator[Table]:
    """The tables of a block, steps of a fault chart as one too."""
    leaves = block.blocks if isinstance(block, Group) else (block,)
    tables = (leaf.table if isinstance(leaf, Steps) else leaf for leaf in leaves)
    return (table for table in tables if isinstance(table, Table))


class _PartMaker:
    """Turns blocks of a section into the data that the templates read; notes what stands beside and is named in it."""

    def __init__(
        self, section: Section, paper: Paper, number: int, first_pages: Container[str], under: bool = False
    ) -> None:
        """`under`: whether an earlier part has a head over groups."""
        self.section = section
        self.first_pages = first_pages
        self.under = under
        self.paper = paper
        self.number = number
        self.name = f"{section.id}-{number}"
        # Hundreds of connectors are found by bookmark and index; in the contents they would bury the rest.
        self.outlined = sum(isinstance(block, Group) for block in section.blocks) <= _LONGEST_CONTENTS
        self.drawings: dict[str, str] = {}
        self.heads: list[Head] = []
        self.targets: dict[str, None] = {}
        self.names = {section.anchor} if number == 0 else set()
        width, height = _SIZES[paper]
        self.room = _Room(width - 2 * _MARGIN_X, height - _MARGIN_TOP - _MARGIN_BOTTOM)

    def data(self, blocks: Sequence[Block]) -> Json:
        low = self.under and not _over(blocks[0])
        return {
            "name": self.section.anchor,
            "running": printable(self.section.title),
            "own-caution": printable(self.section.caution),
            "deep": min(self.number, 1) + (1 if low else 0),
            "blocks": [self._block(block) for block in blocks],
        }

    def _block(self, block: Block) -> Json:
        if not isinstance(block, Group):
            return self._leaf(block, 2)
        drawn = _drawn(block)
        if drawn is not None:
            return self._sheet(block, drawn)
        self.under = self.under or block.over
        level = 3 if self.under and not block.over else 2
        listed = self.outlined or block.over
        self.heads.append(Head(level, block.id, printable(block.title), listed))
        self.names.add(block.id)
        return {
            "t": "group",
            "id": block.id,
            "title": printable(block.title),
            "short": printable(block.item) if block.item and block.title.startswith(block.item) else "",
            "outlined": listed,
            "level": level,
            "over": block.over,
            "blocks": [self._leaf(leaf, level + 1) for leaf in block.blocks],
        }

    def _sheet(self, group: Group, figure: Figure) -> Json:
        """A wiring sheet on a page of its own, turned if it is wide. Contents list the first page of each; in a state,
        all of them as other groups."""
        own = group.id == anchor("sheet", figure.sheet)
        listed = group.id in self.first_pages if own else self.outlined
        self.heads.append(Head(2, group.id, printable(group.title), listed, own))
        self.names.add(group.id)
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
            "outlined": listed,
            "wide": wide,
            "margin": {"x": round(side, 2), "top": _SHEET_TOP, "bottom": _SHEET_BOTTOM},
            "see": self._runs(see.runs) if see else "",
        }

    def _leaf(self, leaf: Leaf, level: int) -> Json:
        match leaf:
            case Paragraph():
                return {"t": "p", "r": self._runs(leaf.runs)}
            case Bullets():
                return {"t": "ol" if leaf.numbered else "ul", "i": [self._runs(item) for item in leaf.items]}
            case Caution():
                return {"t": "caution", "title": printable(leaf.title), "r": self._runs(leaf.runs)}
            case Figure():
                return self._figure(leaf, self.room, _LARGEST_SHARE)
            case Steps():
                return self._table(leaf.table, level)
            case Table():
                return self._table(leaf, level)

    def _table(self, table: Table, level: int) -> Json:
        data = table_data(table)
        for row in table.rows:
            self.names.add(row.anchor)
            for cell in row.cells:
                self._note(cell.runs)
        data["name"] = f"head-{self.name}-{len(self.names)}"
        self.names.add(data["name"])
        if data["title"] and level == 2:
            self.heads.append(Head(level, data["name"], data["title"], True))
        return data

    def _runs(self, runs: tuple[Run, ...]) -> object:
        self._note(runs)
        return runs_data(runs)

    def _note(self, runs: Iterable[Run]) -> None:
        self.targets.update((run.link, None) for run in runs if run.page)

    def _figure(self, figure: Figure, room: _Room, share: float) -> Json:
        file = f"figure-{len(self.drawings)}.svg"
        self.drawings[file] = drawable(figure.svg)
        scale = min(1.0, room.width / figure.width_pt, room.height * share / figure.height_pt)
        return {
            "t": "figure",
            "file": file,
            "title": unbroken(printable(figure.title)),
            "alt": printable(figure.alt) or "drawing",
            "width": round(figure.width_pt * scale, 2),
            "height": round(figure.height_pt * scale, 2),
        }
