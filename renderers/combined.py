"""Several packs as one: the sections of each variant one after another, each section and sheet marked with its variant.

Two variants have the same ids, so each pack's anchors are set apart by the variant's; links stay within their variant.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from renderers.document import Block, Bullets, Caution, Figure, Group, Leaf, Pack, Paragraph, Section
from renderers.steps import Steps
from renderers.tables import Cell, Row, Run, Table
from renderers.text import anchor


def combined(packs: Sequence[Pack], line: str) -> Pack:
    """One pack of several, in their order. `line` is the name of the vehicle line."""
    first = packs[0]
    marked = [_Marking(pack.variant).pack(pack) for pack in packs]
    facts = dict.fromkeys(fact for pack in packs for fact in pack.identification if fact[0] in ("Model year", "Date"))
    return replace(
        first,
        variant=(line or "all").replace(" ", "-"),
        title=line or ", ".join(pack.title for pack in packs),
        identification=(*((pack.variant, pack.title) for pack in packs), *facts),
        sections=tuple(section for pack in marked for section in pack.sections),
        sheets={name: figure for pack in marked for name, figure in pack.sheets.items()},
        entries=tuple(entry for pack in marked for entry in pack.entries),
    )


class _Marking:
    """Marks one pack with its variant."""

    def __init__(self, variant: str) -> None:
        self.variant = variant
        self.end = anchor("of", variant)

    def name(self, name: str) -> str:
        """An anchor, or another name that must be of this variant alone."""
        return f"{name}-{self.end}" if name else ""

    def pack(self, pack: Pack) -> Pack:
        """The pack with every name, title of a section and title of a sheet marked."""
        return replace(
            pack,
            sections=tuple(self._section(section) for section in pack.sections),
            sheets={f"{self.variant} {name}": figure for name, figure in pack.sheets.items()},
            entries=tuple(entry._replace(anchor=self.name(entry.anchor)) for entry in pack.entries),
        )

    def _section(self, section: Section) -> Section:
        blocks = tuple(self._block(block) for block in section.blocks)
        return replace(section, id=self.name(section.id), title=f"{self.variant}: {section.title}", blocks=blocks)

    def _block(self, block: Block) -> Block:
        if not isinstance(block, Group):
            return self._leaf(block)
        drawn = any(isinstance(leaf, Figure) and leaf.sheet for leaf in block.blocks)
        title = f"{self.variant}: {block.title}" if drawn else block.title
        return block._replace(id=self.name(block.id), title=title, blocks=tuple(map(self._leaf, block.blocks)))

    def _leaf(self, leaf: Leaf) -> Leaf:
        match leaf:
            case Paragraph():
                return Paragraph(self._runs(leaf.runs))
            case Bullets():
                return leaf._replace(items=tuple(map(self._runs, leaf.items)))
            case Caution():
                return leaf._replace(runs=self._runs(leaf.runs))
            case Figure():
                return leaf._replace(id=self.name(leaf.id))
            case Steps():
                return self._table(leaf.table)
            case Table():
                return self._table(leaf)

    def _table(self, table: Table) -> Table:
        return replace(table, id=self.name(table.id), rows=tuple(map(self._row, table.rows)))

    def _row(self, row: Row) -> Row:
        return row._replace(anchor=self.name(row.anchor), cells=tuple(map(self._cell, row.cells)))

    def _cell(self, cell: Cell) -> Cell:
        return cell._replace(runs=self._runs(cell.runs))

    def _runs(self, runs: tuple[Run, ...]) -> tuple[Run, ...]:
        return tuple(run._replace(link=self.name(run.link)) for run in runs)
