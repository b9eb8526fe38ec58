"""Terminals of components that are wired without a connector of their own: relays, studs, switches, lamps."""

from __future__ import annotations

from compiler.model.items import Device, Point
from renderers.cells import colour_cell, end_cell, item_runs, other_end, size_cell, wire_cell
from renderers.charts.base import Blocks, Chart
from renderers.charts.fuses import is_fuse
from renderers.context import PackContext
from renderers.describe import terminal_text
from renderers.document import Paragraph
from renderers.tables import About, Column, Row, Run, Table, cell, runs_cell

_COLUMNS = (
    Column("component", "Component", "id", 34),
    Column("terminal", "Terminal", "id", 15),
    Column("inside", "Inside", "text", 42),
    Column("wire", "Wire", "ref", 14),
    Column("colour", "Colour", "colour", 18),
    Column("size", "Size", "size", 15),
    Column("to", "Goes to", "ref", 37),
)


def _build(context: PackContext) -> Blocks:
    rows: list[Row] = []
    for device in context.by_id(context.variant.devices):
        if isinstance(device, Device) and not is_fuse(device) and device.kind != "fusible-link":
            rows += _rows(context, device)
    if not rows:
        return ()
    lead = "Terminals that a wire reaches without a connector. Terminals in a connector are in the connector charts."
    return (Paragraph((Run(lead),)), Table("terminals", "", _COLUMNS, tuple(rows)))


def _rows(context: PackContext, device: Device) -> list[Row]:
    variant = context.variant
    rows: list[Row] = []
    for terminal in device.terminals:
        if variant.connector_of_terminal(device, terminal) is not None:
            continue
        # On a component with connectors, a terminal that no wire names lies inside it.
        if device.connectors and terminal != "case" and not variant.wires_at(Point(device.id, terminal, 0)):
            continue
        point = Point(device.id, terminal, 0)
        wires = variant.wires_at(point)
        inside = cell(terminal_text(variant, device, terminal))
        head = (runs_cell(item_runs(context, device.id, named=True)), cell(terminal), inside)
        for wire in wires:
            cells = (
                *head,
                wire_cell(wire),
                colour_cell(context, wire),
                size_cell(wire),
                end_cell(context, other_end(wire, point)),
            )
            rows.append(Row(cells, about=About((wire.circuit,), item=device.id)))
        if not wires and terminal == "case" and device.case:
            structure = variant.structures.get(device.case)
            bolted = cell(f"bolted to {structure.title or structure.id if structure else device.case}")
            rows.append(Row((*head, *[cell("")] * 3, bolted), about=About(item=device.id)))
        elif not wires and device.bus and device.parts and terminal == device.parts[0].terminals[0]:
            on = runs_cell((Run("on "), *item_runs(context, device.bus)))
            rows.append(Row((*head, *[cell("")] * 3, on), about=About(item=device.id)))
        elif not wires:
            state = cell("spare", mark="spare") if terminal in device.spare else cell("no wire", mark="open")
            rows.append(Row((*head, state, *[cell("")] * 3), marks=(state.mark,), about=About(item=device.id)))
    return rows


CHART = Chart(85, "terminals", "Terminals without a connector", _build)
