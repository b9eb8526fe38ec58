"""Ground index: each ground point, what bolts to it and what it serves."""

from __future__ import annotations

from compiler.model.items import Ground
from renderers.cells import access_cell, basis_runs, items_cell, load_cell, place_cell, sheets_cell
from renderers.charts.base import Blocks, Chart
from renderers.charts.splices import wire_runs
from renderers.context import PackContext
from renderers.document import Paragraph
from renderers.tables import NEXT_LINE, About, Column, Row, Run, Table, cell, listed, runs_cell

_COLUMNS = (
    Column("id", "Ground", "id", 13),
    Column("name", "Name", "text", 20),
    Column("structure", "Bolted to", "text", 16),
    Column("place", "Location", "place", 28),
    Column("access", "Access, min", "number", 11),
    Column("wires", "Wires", "ref", 33),
    Column("components", "Components grounded here", "ref", 53),
    Column("load", "Load, A", "number", 11),
    Column("sheets", "Sheets", "ref", 19),
)


def _build(context: PackContext) -> Blocks:
    rows = tuple(
        _row(context, ground) for ground in context.by_id(context.variant.grounds) if isinstance(ground, Ground)
    )
    if not rows:
        return ()
    lead = (
        "Every ground point with the wires under its bolt and the components that return through it. Several faults on"
        " one ground point to the ground itself. Components whose case is bolted to metal are not listed here."
        " The load is what comes back by the wires under the bolt, not what straps bring from other grounds."
    )
    return (Paragraph((Run(lead), *basis_runs())), Table("grounds", "", _COLUMNS, rows))


def _row(context: PackContext, ground: Ground) -> Row:
    wires = context.variant.wires_of_item(ground.id)
    circuits = tuple(dict.fromkeys(wire.circuit for wire in wires))
    structure = context.variant.structures.get(ground.structure)
    cells = (
        cell(ground.id),
        cell(ground.title),
        cell(structure.title or structure.id if structure else ground.structure),
        place_cell(context, ground),
        access_cell(context, ground),
        runs_cell(listed((wire_runs(context, wire) for wire in wires), NEXT_LINE)),
        items_cell(context, context.grounded_at(ground.id)),
        load_cell(context.loads.grounds.get(ground.id)),
        sheets_cell(context.sheets_of_item(ground.id)),
    )
    return Row(cells, context.home(ground.id), about=About(circuits, item=ground.id))


CHART = Chart(100, "grounds", "Ground index", _build)
