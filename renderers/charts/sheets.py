"""Wiring sheets: the list of them, then each drawing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from renderers.cautions import RESTRAINT
from renderers.cells import circuits_cell
from renderers.changed import News
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Block, Figure, Group, Leaf, Paragraph
from renderers.lit_states import states_of
from renderers.sheets.distribution import GROUND, POWER
from renderers.sheets.figure import SheetFigure
from renderers.tables import Cell, Column, Row, Run, Table, cell, listed, runs_cell
from renderers.text import anchor, natural_key

_COLUMNS = (
    Column("sheet", "Sheet", "ref", 19),
    Column("title", "Title", "text", 46),
    Column("system", "System", "text", 29),
    Column("circuits", "Circuits", "ref", 72),
    Column("notes", "Notes", "text", 28),
)
_HEAD = 84  # characters that fit beside the title of a sheet at the head of a printed page


def _build(context: PackContext) -> Blocks:
    drawn = _in_order(context)
    if not drawn:
        return ()
    lead = (
        "Supply is at the top of a sheet, ground at the bottom; current runs down. Each wire carries its circuit and"
        " segment, size and colour. An arrow at an edge names the sheet and the circuit where the wire goes on."
        " Everything is drawn at rest: switches in their first position, relays without current, battery connected."
    )
    news = context.marks.pages
    rows = [_row(context, figure, news[figure.sheet].mark if figure.sheet in news else "") for figure in drawn]
    table = Table("sheets", "List of sheets", _COLUMNS, tuple(rows))
    elsewhere = {figure.sheet for number in (POWER, GROUND) for figure in _distribution(context, number)}
    return (
        Paragraph((Run(lead),)),
        table,
        *_groups(context, [figure for figure in drawn if figure.sheet not in elsewhere]),
    )


def _in_order(context: PackContext) -> list[SheetFigure]:
    return [context.sheets[name] for name in sorted(context.sheets, key=natural_key)]


def _distribution(context: PackContext, number: str) -> list[SheetFigure]:
    """The pages of a distribution sheet of the tool's own: an author's sheet of that number is a sheet like others."""
    if number in context.variant.sheets:
        return []
    return [figure for figure in _in_order(context) if figure.number == number]


def distribution_groups(context: PackContext, number: str) -> tuple[Block, ...]:
    """The drawn pages of a distribution sheet, for the section that it belongs to."""
    return tuple(_groups(context, _distribution(context, number)))


def distribution_cell(context: PackContext, item: str, number: str) -> Cell:
    """The pages of a distribution sheet that an item stands on, with the zone of the frame."""
    pages = ((figure.sheet, context.zone_on(figure.sheet, item)) for figure in _distribution(context, number))
    return runs_cell(listed((Run(f"{page} {zone}", anchor("sheet", page)),) for page, zone in pages if zone))


def _row(context: PackContext, figure: SheetFigure, mark: str) -> Row:
    sheet = context.variant.sheets.get(figure.own_sheet)
    return Row(
        (
            runs_cell((Run(figure.sheet, anchor("sheet", figure.sheet), page=True),)),
            cell(figure.title),
            cell(sheet.system if sheet else ""),
            circuits_cell(context, context.circuits_on(figure.sheet), named=False),
            cell("; ".join([*([mark] if mark else []), *(sheet.notes if sheet else ())])),
        )
    )


def _groups(context: PackContext, figures: Iterable[SheetFigure]) -> Iterator[Block]:
    news = context.marks.pages
    return (_group(context, figure, news.get(figure.sheet)) for figure in figures)


def _group(context: PackContext, figure: SheetFigure, news: News | None) -> Block:
    name = anchor("sheet", figure.sheet)
    drawing = Figure(
        f"figure-{name}", figure.title, figure.svg, figure.width_pt, figure.height_pt, figure.alt, figure.sheet
    )
    sheet = context.variant.sheets.get(figure.own_sheet)
    runs: list[Run] = []
    if sheet and sheet.see:
        others = ((Run(word.text, anchor("sheet", word.text)),) for word, _ in sheet.see)
        runs += [Run("See also sheets " if len(sheet.see) > 1 else "See also sheet "), *listed(others)]
    if news:
        words = news.words(_HEAD - _length(runs))
        runs[:0] = [Run(news.mark, anchor("section", "changes")), Run(words + (". " if runs else ""))]
    # On paper the head of a page has one line, on the screen there is room for another.
    live = _states(context, figure.sheet)
    besides = bool(live and runs) and _length((*runs, *live)) > _HEAD
    if live and not besides:
        runs += [*([Run(". ")] if runs else []), *live]
    # What is told beside the drawing: on paper at the head of its page.
    told = [Paragraph(tuple(line)) for line in (runs, live if besides else ()) if line]
    leaves: tuple[Leaf, ...] = (*told, drawing)
    return Group(name, f"Sheet {figure.sheet}  {figure.title}".rstrip(), leaves)


def _states(context: PackContext, sheet: str) -> tuple[Run, ...]:
    """The states in which a sheet is published too, in so many words as a head has room for."""
    states = states_of(context, sheet)
    lead = Run("With voltages: ")
    if _length((lead, *states)) > _HEAD:
        return (lead, Run("list of states", anchor("section", "states")))
    return (lead, *states) if states else ()


def _length(runs: Iterable[Run]) -> int:
    """How many characters runs take."""
    return sum(len(run.text) for run in runs)


CHART = Chart(200, "sheets", "Wiring sheets", _build, RESTRAINT)
