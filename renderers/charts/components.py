"""Component index."""

from __future__ import annotations

from collections.abc import Iterable

from compiler.model.items import Device
from renderers.cautions import HOT_AND_MOVING
from renderers.cells import access_cell, item_runs, place_cell, sheets_cell
from renderers.charts.base import Blocks, Chart
from renderers.charts.fuses import is_fuse
from renderers.context import PackContext
from renderers.describe import ratings_text
from renderers.document import Paragraph
from renderers.tables import About, Cell, Column, Row, Run, Table, cell, listed, runs_cell

_COLUMNS = (
    Column("id", "Component", "id", 23),
    Column("name", "Name", "text", 32),
    Column("kind", "Kind", "text", 29),
    Column("connectors", "Connectors", "ref", 21),
    Column("fuses", "Fed by", "ref", 18),
    Column("grounds", "Ground", "ref", 18),
    Column("place", "Location", "place", 42),
    Column("access", "Access, min", "number", 12),
    Column("sheets", "Sheets", "ref", 26),
)


def _build(context: PackContext) -> Blocks:
    rows = tuple(
        _row(context, device) for device in context.by_id(context.variant.devices) if isinstance(device, Device)
    )
    if not rows:
        return ()
    lead = (
        "Every component by its id. The alphabetical index at the end of the pack goes by name. “Fed by” names the"
        " last fuse, breaker or link in front, through any switch or relay; “Ground”, where its ground wires lead."
    )
    return (Paragraph((Run(lead),)), Table("components", "", _COLUMNS, rows))


def _row(context: PackContext, device: Device) -> Row:
    elsewhere = is_fuse(device) or device.kind == "fusible-link"
    kind = context.kind_title(device)
    ratings = ratings_text(device.ratings)
    cells = (
        runs_cell(item_runs(context, device.id)) if elsewhere else cell(device.id),
        cell(device.title),
        cell(f"{kind}, {ratings}" if ratings else kind),
        _ids(context, device.connectors),
        _ids(context, context.protecting(device.id)),
        _ids(context, context.grounds_of(device.id)),
        place_cell(context, device),
        access_cell(context, device),
        sheets_cell(context.sheets_of_item(device.id)),
    )
    circuits = tuple(dict.fromkeys(wire.circuit for wire in context.variant.wires_of_item(device.id)))
    about = About(circuits if len(circuits) == 1 else (), item=device.id)
    return Row(cells, "" if elsewhere else context.home(device.id), about=about)


def _ids(context: PackContext, names: Iterable[str]) -> Cell:
    return runs_cell(listed(item_runs(context, name) for name in names))


CHART = Chart(90, "components", "Component index", _build, HOT_AND_MOVING)
