"""Changes since the last issue: the sheets that look different, then what changed, sort by sort."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby

from compiler.changes.change import TITLED, Change, Changes
from compiler.changes.words import call, outcome
from renderers.changed import News, called
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Block, Paragraph
from renderers.swatches import wire_swatch
from renderers.tables import About, Cell, Column, Row, Run, Swatch, Table, cell, listed, runs_cell
from renderers.text import NOT_GIVEN, anchor, natural_key

_SHEETS = (
    Column("sheet", "Sheet", "ref", 22),
    Column("title", "Title", "text", 50),
    Column("state", "State", "text", 26),
    Column("because", "What it is about", "ref", 78),
)
_CHANGES = (
    Column("id", "Id", "ref", 24),
    Column("name", "Name", "text", 34),
    Column("what", "What", "text", 32),
    Column("before", "Before", "text", 34),
    Column("now", "Now", "text", 34),
    Column("sheets", "Sheets", "ref", 22),
)
_SIGNS = {"mm2": "mm²", "ohm": "Ω", "mohm": "mΩ", "kohm": "kΩ", "uF": "µF", "degC": "°C"}
_UNIT = re.compile(rf"(?<=\d )(?:{'|'.join(_SIGNS)})\b")
# An anchor of a thing by its sort; an item goes by where it is described.
_ANCHORS = {"wire": "wire", "circuit": "circuit", "colour": "colour", "zone": "zone", "sheet": "sheet"}


def _build(context: PackContext) -> Blocks:
    changes = context.changes
    if changes is None:
        return ()
    if not changes.changes and not context.marks.pages and not context.marks.lit:
        return (Paragraph((Run(f"Nothing changed since {called(changes)}."),)),)
    blocks: list[Block] = [Paragraph((Run(_lead(changes)),))]
    if rows := _sheet_rows(context, changes):
        blocks.append(Table("changed-sheets", "Sheets", _SHEETS, tuple(rows)))
    gone = (*changes.gone_sheets, *(changes.seen.gone if changes.seen else ()))
    if gone:
        words = "No longer in this pack" if changes.is_issue else f"In {called(changes)} only"
        listed_gone = ", ".join(sorted(gone, key=natural_key))
        blocks.append(Paragraph((Run(f"{words}: {'sheet' if len(gone) == 1 else 'sheets'} {listed_gone}."),)))
    columns, shown_at = _columns(changes), context.marks.shown_at()
    for group, found in groupby(changes.changes, key=lambda change: change.group):
        rows = [_row(context, change, changes, shown_at.get(id(change), ())) for change in found]
        name = "-".join(("changes", *re.findall("[a-z]+", group.lower())))
        blocks.append(Table(name, group, columns, tuple(rows), family="changes", member=group, member_title="Group"))
    return tuple(blocks)


def _lead(changes: Changes) -> str:
    if changes.is_issue:
        return (
            f"What is different in the vehicle or in this pack since {called(changes)}. Ids are those of this issue;"
            " what is gone goes by its old id. A dash stands where there is nothing."
        )
    return f"What is different in {call(changes.new)}, the subject of this pack, from {called(changes)}."


def _typeset(said: str) -> str:
    """A value with the signs that the pack's other charts print."""
    return _UNIT.sub(lambda match: _SIGNS[match[0]], said).replace(" -- ", " – ")


def _columns(changes: Changes) -> tuple[Column, ...]:
    if changes.is_issue:
        return _CHANGES
    sides = {"before": call(changes.old), "now": call(changes.new)}
    return tuple(column._replace(title=sides.get(column.key, column.title)) for column in _CHANGES)


def _sheet_rows(context: PackContext, changes: Changes) -> list[Row]:
    """Pages at rest, then those in a state."""
    marks = context.marks
    rows = []
    for page in sorted(marks.pages, key=natural_key):
        title = context.sheets[page].title
        rows.append(_sheet_row(context, changes, page, anchor("sheet", page), title, marks.pages[page]))
    for one in context.lit:
        for figure in one.figures:
            if news := marks.lit.get((one.state.id, figure.sheet)):
                home = anchor("state", f"{one.state.id} {figure.sheet}")
                rows.append(_sheet_row(context, changes, figure.sheet, home, figure.title, news))
    return rows


def _sheet_row(context: PackContext, changes: Changes, page: str, home: str, title: str, news: News) -> Row:
    state = "new" if news.new else "changed"
    if not changes.is_issue:
        state = f"only in {call(changes.new)}" if news.new else "different"
    facts = () if news.new else news.changes
    about = dict.fromkeys(run for change in facts for run in _ids(context, change))
    besides = () if about else ((Run(said),) for said in news.said)
    cells = (
        runs_cell((Run(page, home, page=True),)),
        cell(title),
        cell(state),
        runs_cell(listed((*about, *besides))),
    )
    return Row(cells)


def _ids(context: PackContext, change: Change) -> tuple[tuple[Run, ...], ...]:
    """The ids that a change is about, each linked to where it is described."""
    if change.sort == "variant":
        return ()
    return tuple((Run(one, _home(context, change.sort, one)),) for one in change.subjects)


def _home(context: PackContext, sort: str, name: str) -> str:
    kind = _ANCHORS.get(sort)
    return anchor(kind, name) if kind else context.home(name)


def _row(context: PackContext, change: Change, changes: Changes, shown_at: Sequence[tuple[str, str]]) -> Row:
    pages = shown_at if change.sort != "sheet" else ()
    cells = (
        runs_cell(listed(_ids(context, change))) if change.sort != "variant" else cell("vehicle"),
        cell(_name(context, change)),
        cell(outcome(change, changes)),
        _value(context, change, change.old),
        _now(context, change),
        runs_cell(listed((Run(page, home),) for page, home in pages)),
    )
    known = change.circuits if change.action != "removed" else ()
    item = change.subjects[0] if change.sort not in _ANCHORS and context.home(change.subjects[0]) else ""
    return Row(cells, about=About(known, item=item))


def _name(context: PackContext, change: Change) -> str:
    """The name of a thing; of a wire that of its circuit, of a test what it is."""
    if change.sort in TITLED:
        return change.name
    named = [context.variant.circuits[one] for one in change.circuits if one in context.variant.circuits]
    return named[0].title if change.sort == "wire" and len(named) == 1 else change.title


def _value(context: PackContext, change: Change, said: str) -> Cell:
    """What a fact was or is, a colour with its swatch."""
    swatch = wire_swatch(said, context.variant.colours) if change.what == "wire-colour" else None
    if change.what == "colour-shown" and said:
        swatch = Swatch(said)
    return cell(_typeset(said) or NOT_GIVEN, swatch=swatch)


def _now(context: PackContext, change: Change) -> Cell:
    """What holds now; an end of a wire is linked to the place."""
    if change.what not in ("wire-cavity", "wire-end") or not change.new:
        return _value(context, change, change.new)
    item = next((item for item in change.items if change.new.startswith(item)), "")
    return cell(change.new, anchor("cavity", change.new) if item in context.variant.connectors else context.home(item))


def _heading(context: PackContext) -> str:
    changes = context.changes
    return CHART.title if changes is None or changes.is_issue else f"Differences from {called(changes)}"


CHART = Chart(410, "changes", "Changes since the last issue", _build, heading=_heading)
