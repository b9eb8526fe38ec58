"""Part of a pack: some sheets, some sections. Links to what is left out become plain text."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import NamedTuple

from compiler.assembly.names import nearest
from renderers.document import Block, Figure, Group, Pack, Section
from renderers.settle import settled
from renderers.tables import Row, Table
from renderers.text import anchor

SHEETS = "sheets"  # the section of the wiring sheets


class PartError(Exception):
    """There is no such part; the message is one line for a person."""


class Part(NamedTuple):
    """What is wanted: sheets by number, with all their pages, and sections by id. Nothing named is the whole pack;
    sheets alone are the section of wiring sheets with those."""

    sheets: tuple[str, ...] = ()
    sections: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.sheets or self.sections)


WHOLE = Part()


def part_of(pack: Pack, part: Part) -> Pack:
    """The part of a pack that is wanted. Raises PartError."""
    if not part:
        return pack
    _known("sheet", part.sheets, dict.fromkeys(f.own_sheet for f in pack.sheets.values()))
    _known("section", part.sections, [section.id for section in pack.sections])
    wanted = {*part.sections, *((SHEETS,) if part.sheets else ())}
    sheets = pack.sheets
    if part.sheets:
        sheets = {name: figure for name, figure in sheets.items() if figure.own_sheet in part.sheets}
    elif SHEETS not in wanted:
        sheets = {}
    kept = [section for section in pack.sections if section.id in wanted]
    entries = (entry._replace(sheets=tuple(s for s in entry.sheets if s in sheets)) for entry in pack.entries)
    words = [f"sheets {', '.join(part.sheets)}"] if part.sheets else []
    words += [section.title for section in kept if section.id in part.sections]
    return settled(
        replace(
            pack,
            identification=(*pack.identification, ("Part of the pack", "; ".join(words))),
            sections=tuple(_only(section, set(sheets)) if section.id == SHEETS else section for section in kept),
            sheets=sheets,
            entries=tuple(entries),
        )
    )


def _known(what: str, given: Iterable[str], known: Iterable[str]) -> None:
    names = list(known)
    for name in given:
        if name not in names:
            near = nearest(name, names)
            hint = f"did you mean {near}? " if near else ""
            raise PartError(f"no {what} {name!r} in this pack; {hint}there are {', '.join(names) or 'none'}")


def _only(section: Section, sheets: set[str]) -> Section:
    """The section of wiring sheets with some of them, in its list too."""
    anchors = {anchor("sheet", name) for name in sheets}

    def listed(row: Row) -> bool:
        return any(run.link in anchors for run in row.cells[0].runs)

    def kept(block: Block) -> bool:
        drawn = [leaf for leaf in block.blocks if isinstance(leaf, Figure)] if isinstance(block, Group) else []
        return not any(figure.sheet and figure.sheet not in sheets for figure in drawn)

    blocks: list[Block] = [block for block in section.blocks if kept(block)]
    for place, block in enumerate(blocks):
        if isinstance(block, Table) and block.id == SHEETS:
            blocks[place] = replace(block, rows=tuple(filter(listed, block.rows)))
    return replace(section, blocks=tuple(blocks))
