"""The list of fault charts: complaints of the source, trouble codes, then every load with its complaints."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from renderers.cells import absent, item_runs
from renderers.context import PackContext
from renderers.isolation.charted import Charted
from renderers.isolation.drawn import Drawn
from renderers.isolation.trees import Made
from renderers.tables import Cell, Column, Row, Run, Table, cell, runs_cell
from renderers.text import natural_key

if TYPE_CHECKING:
    from compiler.isolation.types import Complaint

_FIGURES = (
    Column("causes", "Causes", "number", 16),
    Column("tests", "Tests, mean", "number", 18),
    Column("most", "At most", "number", 16),
    Column("minutes", "Minutes, mean", "number", 20),
)
_SORTS = (("dead", "Does not work"), ("on", "Works always"), ("weak", "Works weakly"), ("fuse", "Opens its fuse"))
_LOADS = (
    Column("id", "Load", "id", 26),
    Column("name", "Name", "text", 50),
    *(Column(sort, title, "ref", 24) for sort, title in _SORTS),
)


def listing(context: PackContext, charted: Charted) -> Iterator[Table]:
    """The lists that have something in them."""
    at = charted.at
    for name, title, sort, key, head in (
        ("isolation-complaints", "Complaints", "source", "complaint", "Complaint"),
        ("isolation-codes", "Trouble codes", "code", "code", "Trouble code"),
    ):
        own = [one for one in charted.found if one.complaint.sort == sort]
        if own:
            columns = (Column(key, head, "text", 90), *_FIGURES)
            yield Table(name, title, columns, tuple(_row(one, at.get(one.complaint)) for one in own))
    if charted.loads:
        yield Table("isolation-loads", "Loads", _LOADS, tuple(_loads(context, charted.loads, at)))


def _row(one: Made, chart: Drawn | None) -> Row:
    if chart is None or one.tree is None:
        why = "no single fault explains it" if one.tree else one.why
        runs = (Run(one.complaint.title), Run(f" ({why})", muted=True))
        return Row((runs_cell(runs), absent(), absent(), absent(), absent()))
    tree = one.tree
    cells = (
        runs_cell((Run(one.complaint.title, chart.id, page=True),)),
        cell(str(len(tree.groups))),
        cell(f"{tree.tests[0]:.1f}"),
        cell(str(tree.tests[1])),
        cell(f"{tree.minutes[0]:.0f}"),
    )
    return Row(cells)


def _loads(context: PackContext, loads: Sequence[Made], at: dict[Complaint, Drawn]) -> Iterator[Row]:
    by_subject: dict[str, dict[str, Drawn]] = {}
    for one in loads:
        chart = at.get(one.complaint)
        own = by_subject.setdefault(one.complaint.subject, {})
        if chart is not None:
            own[one.complaint.sort] = chart
    for subject in sorted(by_subject, key=natural_key):
        item, _, part = subject.partition(".")
        found = context.variant.items.get(item)
        links = (_link(by_subject[subject].get(sort)) for sort, _ in _SORTS)
        head = runs_cell((*item_runs(context, item), *((Run(f".{part}"),) if part else ())))
        yield Row((head, cell(found.title if found else ""), *links))


def _link(chart: Drawn | None) -> Cell:
    return runs_cell((Run("chart", chart.id, page=True),)) if chart else absent()
