"""Wiring sheets: the list of them, then each drawing."""

from __future__ import annotations

from renderers.cautions import RESTRAINT
from renderers.cells import circuits_cell
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Block, Figure, Group, Leaf, Paragraph
from renderers.sheets.figure import SheetFigure
from renderers.tables import Column, Row, Run, Table, cell, listed, runs_cell
from renderers.text import anchor, natural_key

_COLUMNS = (
    Column("sheet", "Sheet", "ref", 26),
    Column("title", "Title", "text", 52),
    Column("system", "System", "text", 30),
    Column("circuits", "Circuits", "ref", 40),
    Column("notes", "Notes", "text", 28),
)


def _build(context: PackContext) -> Blocks:
    drawn = [context.sheets[name] for name in sorted(context.sheets, key=natural_key)]
    if not drawn:
        return ()
    lead = (
        "Supply is at the top of a sheet, ground at the bottom; current runs down. Each wire carries its circuit and"
        " segment, size and colour. An arrow at an edge names the sheet and the circuit where the wire goes on."
        " Everything is drawn at rest: switches in their first position, relays without current, battery connected."
    )
    table = Table("sheets", "List of sheets", _COLUMNS, tuple(_row(context, figure) for figure in drawn))
    return (Paragraph((Run(lead),)), table, *(_group(context, figure) for figure in drawn))


def _row(context: PackContext, figure: SheetFigure) -> Row:
    sheet = context.variant.sheets.get(figure.number or figure.sheet)
    return Row(
        (
            runs_cell((Run(figure.sheet, anchor("sheet", figure.sheet), page=True),)),
            cell(figure.title),
            cell(sheet.system if sheet else ""),
            circuits_cell(context, context.circuits_on(figure.sheet), named=False),
            cell("; ".join(sheet.notes) if sheet else ""),
        )
    )


def _group(context: PackContext, figure: SheetFigure) -> Block:
    name = anchor("sheet", figure.sheet)
    drawing = Figure(
        f"figure-{name}", figure.title, figure.svg, figure.width_pt, figure.height_pt, figure.alt, figure.sheet
    )
    leaves: list[Leaf] = [drawing]
    sheet = context.variant.sheets.get(figure.number or figure.sheet)
    if sheet and sheet.see:
        others = ((Run(word.text, anchor("sheet", word.text)),) for word, _ in sheet.see)
        leaves.append(Paragraph((Run("See also sheets "), *listed(others))))
    return Group(name, f"Sheet {figure.sheet}  {figure.title}".rstrip(), tuple(leaves))


CHART = Chart(200, "sheets", "Wiring sheets", _build, RESTRAINT)
