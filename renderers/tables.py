"""Tables as data. Chart builders return them, writers lay them out: nothing here knows a page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import compress
from typing import Literal, NamedTuple

from renderers.edges import edge_of
from renderers.text import NOT_GIVEN

ColumnKind = Literal["text", "id", "colour", "number", "size", "ref", "place"]
Mark = Literal["", "spare", "plugged", "open", "absent"]


# Stands between things each of which is best read on a line of its own, where there is room for lines.
NEXT_LINE = "; "
# Columns, by key, that a page does without where they are empty.
_SPARING = ("notes", "place")


class Swatch(NamedTuple):
    """A colour as drawn: `base` and the `tracers` on it, each `#RRGGBB`."""

    base: str
    tracers: tuple[str, ...] = ()

    @property
    def stripes(self) -> tuple[tuple[str, str], ...]:
        """Each tracer with its edge; that is empty for one that stands out from the base."""
        return tuple((tracer, edge_of(self.base, tracer)) for tracer in self.tracers)


class Run(NamedTuple):
    """A stretch of text.

    link   anchor it leads to, or empty
    muted  whether it is a remark beside the thing itself (a name after an id)
    page   whether paper should add the page that the link leads to
    """

    text: str
    link: str = ""
    muted: bool = False
    page: bool = False


class Cell(NamedTuple):
    """A cell of a table.

    mark  `spare`, `plugged`, `open` (no wire, not marked), `absent` (the sources do not give it), or empty
    """

    runs: tuple[Run, ...] = ()
    swatch: Swatch | None = None
    mark: Mark = ""

    @property
    def text(self) -> str:
        return "".join(run.text for run in self.runs)


class Column(NamedTuple):
    """A column. `width` is its share of the page's width (about millimetres of an A4 page); neighbours with the same
    `group` stand under one common head."""

    key: str
    title: str
    kind: ColumnKind = "text"
    width: float = 20
    group: str = ""


class About(NamedTuple):
    """What a row is about, so that it can be lit with its circuit: circuit ids, wire id, item id."""

    circuits: tuple[str, ...] = ()
    wire: str = ""
    item: str = ""


class Row(NamedTuple):
    """A row. `anchor` is where links to the thing lead; `marks` hold for the whole row (`spare`, `head` ...)."""

    cells: tuple[Cell, ...]
    anchor: str = ""
    marks: tuple[str, ...] = ()
    about: About = About()


@dataclass(frozen=True, slots=True)
class Table:
    """A table.

    family, member  tables of one family have the same columns (the cavities of each connector); a writer that puts one
                    table in a file puts a family in one file, with `member` in a first column headed `member_title`

    Raises ValueError when a row has not one cell a column.
    """

    id: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    notes: tuple[str, ...] = ()
    family: str = ""
    member: str = ""
    member_title: str = ""

    def __post_init__(self) -> None:
        keys = [column.key for column in self.columns]
        if len(set(keys)) != len(keys):
            raise ValueError(f"table {self.id} has two columns of one key")
        for row in self.rows:
            if len(row.cells) != len(keys):
                raise ValueError(f"table {self.id}: a row of {len(row.cells)} cells under {len(keys)} columns")

    def column(self, key: str) -> tuple[Cell, ...]:
        """The cells under a column. Raises KeyError."""
        for index, column in enumerate(self.columns):
            if column.key == key:
                return tuple(row.cells[index] for row in self.rows)
        raise KeyError(key)


def lean(table: Table) -> Table:
    """The table as a page has it: without notes and locations where no row has any. Tables of a family keep theirs."""
    used = [
        c.key not in _SPARING or any(x.text not in ("", NOT_GIVEN) for x in table.column(c.key)) for c in table.columns
    ]
    if table.family or all(used):
        return table
    columns = tuple(compress(table.columns, used))
    return replace(
        table, columns=columns, rows=tuple(r._replace(cells=tuple(compress(r.cells, used))) for r in table.rows)
    )


def cell(text: str, link: str = "", *, mark: Mark = "", swatch: Swatch | None = None) -> Cell:
    """A cell of one run; an empty text gives an empty cell."""
    return Cell((Run(text, link),) if text else (), swatch, mark)


def runs_cell(runs: Iterable[Run]) -> Cell:
    """A cell of several runs as they stand."""
    return Cell(tuple(runs))


def listed(groups: Iterable[Iterable[Run]], separator: str = ", ") -> tuple[Run, ...]:
    """Groups of runs as one list with a separator between the groups."""
    done: list[Run] = []
    for group in groups:
        if done:
            done.append(Run(separator))
        done += group
    return tuple(done)
