"""A pack as data: sections of paragraphs, lists, tables and figures. Writers lay it out and add nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from compiler.changes.inventory import Inventory
from renderers.sheets.figure import SheetFigure
from renderers.steps import Steps
from renderers.tables import Run, Table


class Paragraph(NamedTuple):
    """A paragraph."""

    runs: tuple[Run, ...]


class Bullets(NamedTuple):
    """A list; `numbered` when the order matters."""

    items: tuple[tuple[Run, ...], ...]
    numbered: bool = False


class Caution(NamedTuple):
    """A caution that must not be missed: a short head and what to do."""

    title: str
    runs: tuple[Run, ...]


class Figure(NamedTuple):
    """A drawing.

    svg            a whole SVG element, made by this project (never text from a source as it stands)
    width_pt, height_pt  its size at full scale, points
    alt            what it shows, in words
    sheet          number of the wiring sheet it is, or empty
    """

    id: str
    title: str
    svg: str
    width_pt: float
    height_pt: float
    alt: str
    sheet: str = ""


class Group(NamedTuple):
    """A titled group of blocks (a fuse block, a connector, a zone).

    id    its anchor
    item  id of the item it is about, or empty
    over  whether it is a head over the groups that follow: they stand a level below it
    """

    id: str
    title: str
    blocks: tuple[Leaf, ...]
    item: str = ""
    over: bool = False


Leaf = Paragraph | Bullets | Caution | Table | Steps | Figure
Block = Leaf | Group


class Entry(NamedTuple):
    """Something that can be looked up.

    term     name or id as it is looked up
    id       its id (a sheet's number, a circuit's number, a trouble code); empty for a complaint
    what     what it is, in words (`relay`, `circuit`, `splice` ...)
    anchor   where it is described
    sheets   wiring sheets it stands on
    """

    term: str
    id: str
    what: str
    anchor: str
    sheets: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A section. `id` is its name in files and addresses; its anchor is `section-` and the id."""

    id: str
    title: str
    blocks: tuple[Block, ...]
    caution: str = ""

    @property
    def anchor(self) -> str:
        return f"section-{self.id}"

    @property
    def leaves(self) -> Iterator[Leaf]:
        """All blocks in reading order, groups opened."""
        for block in self.blocks:
            if isinstance(block, Group):
                yield from block.blocks
            else:
                yield block

    @property
    def tables(self) -> tuple[Table, ...]:
        """All tables, the steps of fault charts as tables too."""
        found = (block.table if isinstance(block, Steps) else block for block in self.leaves)
        return tuple(block for block in found if isinstance(block, Table))

    @property
    def figures(self) -> tuple[Figure, ...]:
        return tuple(block for block in self.leaves if isinstance(block, Figure))

    @property
    def paragraphs(self) -> tuple[Paragraph, ...]:
        return tuple(block for block in self.leaves if isinstance(block, Paragraph))


@dataclass(frozen=True, slots=True)
class Pack:
    """The whole pack of one variant.

    variant         id of the variant
    identification  label and value pairs of the title page
    caution         the line that stands on every page
    sheets          drawings by sheet number
    entries         what can be looked up, by id
    inventory       the variant as plain facts, so that the next issue can be compared with this one
    """

    variant: str
    title: str
    subtitle: str
    identification: tuple[tuple[str, str], ...]
    caution: str
    sections: tuple[Section, ...]
    sheets: Mapping[str, SheetFigure]
    entries: tuple[Entry, ...]
    inventory: Inventory

    def section(self, name: str) -> Section:
        """The section of an id. Raises KeyError."""
        for section in self.sections:
            if section.id == name:
                return section
        raise KeyError(name)

    @property
    def tables(self) -> tuple[Table, ...]:
        return tuple(table for section in self.sections for table in section.tables)

    def anchors(self) -> dict[str, str]:
        """Every anchor that a link may lead to, with the id of the section it stands in.

        Raises ValueError when one anchor stands in two places.
        """
        found: dict[str, str] = {}

        def add(name: str, section: str) -> None:
            if name in found:
                raise ValueError(f"the anchor {name} stands in two places")
            if name:
                found[name] = section

        for section in self.sections:
            add(section.anchor, section.id)
            for block in section.blocks:
                if isinstance(block, Group):
                    add(block.id, section.id)
            for table in section.tables:
                for row in table.rows:
                    add(row.anchor, section.id)
        return found
