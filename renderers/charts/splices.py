"""Splice index."""

from __future__ import annotations

from compiler.model.items import Splice, Wire
from renderers.cells import (
    access_cell,
    circuits_cell,
    colour_cell,
    harness_cell,
    place_cell,
    sheets_cell,
    size_cell,
    wire_cell,
)
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Paragraph
from renderers.tables import NEXT_LINE, About, Column, Row, Run, Table, cell, listed, runs_cell

_COLUMNS = (
    Column("id", "Splice", "id", 15),
    Column("name", "Name", "text", 30),
    Column("circuits", "Circuits", "ref", 14),
    Column("wires", "Wires", "ref", 36),
    Column("harness", "Harness", "text", 20),
    Column("place", "Location", "place", 40),
    Column("access", "Access, min", "number", 12),
    Column("sheets", "Sheets", "ref", 16),
)


def _build(context: PackContext) -> Blocks:
    rows = tuple(
        _row(context, splice) for splice in context.by_id(context.variant.splices) if isinstance(splice, Splice)
    )
    if not rows:
        return ()
    lead = "Every splice with its wires, where it lies in its harness, and the sheets it is drawn on."
    return (Paragraph((Run(lead),)), Table("splices", "", _COLUMNS, rows))


def wire_runs(context: PackContext, wire: Wire) -> tuple[Run, ...]:
    """A wire with its colour and size beside it."""
    return (*wire_cell(wire).runs, Run(f" {colour_cell(context, wire).text} {size_cell(wire).text}", muted=True))


def _row(context: PackContext, splice: Splice) -> Row:
    wires = context.variant.wires_of_item(splice.id)
    circuits = tuple(dict.fromkeys(wire.circuit for wire in wires))
    cells = (
        cell(splice.id),
        cell(splice.title),
        circuits_cell(context, circuits, named=False),
        runs_cell(listed((wire_runs(context, wire) for wire in wires), NEXT_LINE)),
        harness_cell(context, splice.harness),
        place_cell(context, splice),
        access_cell(context, splice),
        sheets_cell(context.sheets_of_item(splice.id)),
    )
    return Row(cells, context.home(splice.id), about=About(circuits, item=splice.id))


CHART = Chart(110, "splices", "Splice index", _build)
