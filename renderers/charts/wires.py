"""Wire list: circuits, every wire of every circuit, and cables."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from compiler.model.items import Cable, Circuit, Wire
from renderers.cells import (
    absent,
    circuits_cell,
    colour_cell,
    end_cell,
    harness_cell,
    length_cell,
    place_cell,
    sheets_cell,
    size_cell,
    size_text,
    wire_cell,
)
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Block, Paragraph
from renderers.swatches import wire_swatch
from renderers.tables import About, Cell, Column, Row, Run, Table, cell, listed, runs_cell
from renderers.text import NOT_GIVEN, NOT_KNOWN, anchor, natural_key

_CIRCUITS = (
    Column("circuit", "Circuit", "id", 20),
    Column("title", "Title", "text", 66),
    Column("wires", "Wires", "ref", 62),
    Column("sheets", "Sheets", "ref", 26),
)
_WIRES = (
    Column("wire", "Wire", "id", 13),
    Column("circuit", "Circuit", "ref", 12),
    Column("segment", "Seg.", "text", 8),
    Column("from", "From", "ref", 34),
    Column("to", "To", "ref", 34),
    Column("size", "Size", "size", 15),
    Column("colour", "Colour", "colour", 21),
    Column("length", "Length, m", "number", 13),
    Column("harness", "Harness", "text", 19),
    Column("sheets", "Sheets", "ref", 17),
    Column("notes", "Notes", "text", 18),
)
_CABLES = (
    Column("cable", "Cable", "id", 20),
    Column("name", "Name", "text", 36),
    Column("core", "Core", "id", 16),
    Column("size", "Size", "size", 20),
    Column("colour", "Colour", "colour", 20),
    Column("wire", "Wire", "ref", 20),
    Column("harness", "Harness", "text", 20),
    Column("place", "Location", "place", 22),
)


def _build(context: PackContext) -> Blocks:
    variant = context.variant
    if not variant.circuits:
        return ()
    ordered = sorted(variant.circuits.values(), key=lambda circuit: natural_key(circuit.id))
    twisted = _twisted(context)
    circuits = tuple(_circuit_row(context, circuit) for circuit in ordered)
    wires = tuple(
        _wire_row(context, wire, twisted) for circuit in ordered for wire in variant.wires_of_circuit(circuit.id)
    )
    lead = (
        f"Every circuit and every wire. {NOT_GIVEN} stands where the sources do not give a fact,"
        f" {NOT_KNOWN} where they say that it is not known. Sheets are all those on which a wire is drawn, those that"
        " its circuit belongs to first."
    )
    blocks: list[Block] = [
        Paragraph((Run(lead),)),
        Table("circuits", "Circuits", _CIRCUITS, circuits),
        Table("wires", "Wires", _WIRES, wires),
    ]
    cables = [cable for cable in context.by_id(variant.cables) if isinstance(cable, Cable)]
    if cables:
        of_core = {wire.core: wire for wire in variant.wires if wire.core}
        rows = tuple(row for cable in cables for row in _cable_rows(context, cable, of_core))
        blocks.append(Table("cables", "Cables", _CABLES, rows))
    return tuple(blocks)


def _circuit_row(context: PackContext, circuit: Circuit) -> Row:
    wires = context.variant.wires_of_circuit(circuit.id)
    cells = (
        cell(circuit.id),
        cell(circuit.title),
        runs_cell(listed(wire_cell(wire).runs for wire in wires)),
        sheets_cell(context.sheets_of_circuit(circuit.id)),
    )
    return Row(cells, anchor("circuit", circuit.id), about=About((circuit.id,)))


def _twisted(context: PackContext) -> Mapping[str, tuple[str, ...]]:
    """Wire id -> what it is twisted with, in words."""
    found: dict[str, list[str]] = defaultdict(list)
    for twist in context.variant.twists.values():
        names = [word.text for word in twist.wires]
        for name in names:
            found[name].append("twisted with " + ", ".join(other for other in names if other != name))
    return {name: tuple(texts) for name, texts in found.items()}


def _notes(wire: Wire, twisted: Mapping[str, tuple[str, ...]]) -> str:
    notes = []
    if wire.recoloured:
        notes.append(f"recoloured: {wire.recoloured}")
    if wire.core:
        notes.append(f"core {wire.core}")
    if "type" in wire.words:
        notes.append(f"type {wire.words['type']}")
    return "; ".join([*notes, *twisted.get(wire.id, ()), *wire.notes])


def _wire_row(context: PackContext, wire: Wire, twisted: Mapping[str, tuple[str, ...]]) -> Row:
    cells = (
        cell(wire.id),
        circuits_cell(context, (wire.circuit,), named=False),
        cell(wire.segment),
        end_cell(context, wire.a),
        end_cell(context, wire.b),
        size_cell(wire),
        colour_cell(context, wire),
        length_cell(wire),
        harness_cell(context, wire.harness),
        sheets_cell(context.sheets_of_wire(wire)),
        cell(_notes(wire, twisted)),
    )
    return Row(cells, anchor("wire", wire.id), about=About((wire.circuit,), wire=wire.id))


def _cable_rows(context: PackContext, cable: Cable, of_core: Mapping[str, Wire]) -> list[Row]:
    rows = []
    for place, core in enumerate(cable.cores.values()):
        wire = of_core.get(f"{cable.id}.{core.name}")
        colour = (
            Cell((Run(core.colour),), wire_swatch(core.colour, context.variant.colours)) if core.colour else absent()
        )
        cells = (
            cell(cable.id),
            cell(cable.title),
            cell(f"{core.name} (shield)" if core.is_shield else core.name),
            cell(size_text(core.size)) if core.size else absent(),
            colour,
            wire_cell(wire) if wire else cell("spare", mark="spare"),
            harness_cell(context, cable.harness),
            place_cell(context, cable),
        )
        about = About((wire.circuit,) if wire else (), item=cable.id)
        rows.append(Row(cells, context.home(cable.id) if place == 0 else "", about=about))
    return rows


CHART = Chart(400, "wires", "Wire list", _build)
