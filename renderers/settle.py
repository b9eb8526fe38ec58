"""Make a pack fit for every writer: texts cleaned, links that lead nowhere turned into plain text."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import replace

from renderers.document import Block, Bullets, Caution, Entry, Figure, Group, Leaf, Pack, Paragraph, Section
from renderers.steps import Steps
from renderers.tables import Cell, Column, Row, Run, Table
from renderers.text import clean


def settled(pack: Pack) -> Pack:
    """The same pack, clean. Raises ValueError when one anchor stands in two places."""
    return _Settling(pack.anchors()).pack(pack)


class _Settling:
    def __init__(self, anchors: Container[str]) -> None:
        self.anchors = anchors

    def pack(self, pack: Pack) -> Pack:
        return replace(
            pack,
            title=clean(pack.title),
            subtitle=clean(pack.subtitle),
            identification=tuple((clean(label), clean(value)) for label, value in pack.identification),
            sections=tuple(self._section(section) for section in pack.sections),
            sheets={
                name: replace(sheet, title=clean(sheet.title), alt=clean(sheet.alt))
                for name, sheet in pack.sheets.items()
            },
            entries=tuple(self._entry(entry) for entry in pack.entries),
        )

    def _entry(self, entry: Entry) -> Entry:
        anchor = entry.anchor if entry.anchor in self.anchors else ""
        return entry._replace(term=clean(entry.term), what=clean(entry.what), anchor=anchor)

    def _section(self, section: Section) -> Section:
        return replace(section, title=clean(section.title), blocks=tuple(self._block(b) for b in section.blocks))

    def _block(self, block: Block) -> Block:
        if isinstance(block, Group):
            return block._replace(title=clean(block.title), blocks=tuple(self._leaf(leaf) for leaf in block.blocks))
        return self._leaf(block)

    def _leaf(self, leaf: Leaf) -> Leaf:
        match leaf:
            case Paragraph():
                return Paragraph(self._runs(leaf.runs))
            case Bullets():
                return leaf._replace(items=tuple(self._runs(item) for item in leaf.items))
            case Caution():
                return Caution(clean(leaf.title), self._runs(leaf.runs))
            case Figure():
                return leaf._replace(title=clean(leaf.title), alt=clean(leaf.alt))
            case Steps():
                return leaf.settled(self._runs, clean)
            case Table():
                return self._table(leaf)

    def _table(self, table: Table) -> Table:
        return replace(
            table,
            title=clean(table.title),
            columns=tuple(self._column(column) for column in table.columns),
            rows=tuple(self._row(row) for row in table.rows),
            notes=tuple(clean(note) for note in table.notes),
            member=clean(table.member),
        )

    @staticmethod
    def _column(column: Column) -> Column:
        return column._replace(title=clean(column.title), group=clean(column.group))

    def _row(self, row: Row) -> Row:
        return row._replace(cells=tuple(self._cell(cell) for cell in row.cells))

    def _cell(self, cell: Cell) -> Cell:
        runs = cell.runs
        for text, link, _, _ in runs:
            if (link and link not in self.anchors) or not text.isprintable():
                return cell._replace(runs=self._runs(runs))
        return cell

    def _runs(self, runs: tuple[Run, ...]) -> tuple[Run, ...]:
        done = []
        for run in runs:
            live = run.link in self.anchors
            done.append(Run(clean(run.text), run.link if live else "", run.muted, run.page and live))
        return tuple(done)
