"""Colour codes: the table in use, standard tracers, and which circuits wear which colour."""

from __future__ import annotations

from collections import Counter, defaultdict

from renderers.cells import circuits_cell
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Paragraph
from renderers.swatches import colour_swatch, wire_colour, wire_swatch
from renderers.tables import Cell, Column, Row, Run, Table, cell
from renderers.text import anchor

_CODES = (
    Column("code", "Code", "colour", 26),
    Column("name", "Colour", "text", 50),
    Column("tracer", "Standard tracer", "colour", 40),
    Column("base", "Wires with this base", "number", 29),
    Column("second", "Wires with this tracer", "number", 29),
)
_USED = (
    Column("code", "Colour", "colour", 26),
    Column("name", "In words", "text", 50),
    Column("wires", "Wires", "number", 14),
    Column("circuits", "Circuits", "ref", 84),
)


def _build(context: PackContext) -> Blocks:
    table = context.variant.colours
    base: Counter[str] = Counter()
    tracer: Counter[str] = Counter()
    wires: Counter[str] = Counter()
    circuits: dict[str, set[str]] = defaultdict(set)
    for wire in context.variant.wires:
        if wire.colour is None or (colour := wire_colour(wire.colour, table)) is None:
            continue
        wires[colour.code] += 1
        circuits[colour.code].add(wire.circuit)
        base[colour.base.code] += 1
        tracer.update({part.code for part in (colour.tracer, colour.second) if part})
    source = f"Colour codes by {table.title}. Source: {table.source}."
    how = (
        "A wire’s colour is its base, then its tracer after a slash. A star after the base (VT*) in other papers means"
        " the base with its standard tracer; this pack writes the tracer out."
    )
    codes = tuple(
        Row(
            (
                Cell((Run(code),), colour_swatch(colour)),
                cell(colour.name),
                _tracer_cell(context, code),
                cell(str(base[code]) if base[code] else ""),
                cell(str(tracer[code]) if tracer[code] else ""),
            ),
            anchor("colour", code),
        )
        for code, colour in table.colours.items()
    )
    order = {code: place for place, code in enumerate(table.colours)}
    used = sorted(wires, key=lambda code: [order[part] for part in code.split("/")])
    rows = []
    for code in used:
        found = wire_colour(code, table)
        name = found.name if found else ""
        rows.append(
            Row(
                (
                    Cell((Run(code),), wire_swatch(code, table)),
                    cell(name),
                    cell(str(wires[code])),
                    circuits_cell(context, circuits[code], named=False),
                )
            )
        )
    lead = Paragraph((Run(f"{source} {how}"),))
    return (
        lead,
        Table("colour-codes", "Codes", _CODES, codes, _table_notes(context)),
        Table("colours-used", "Colours used, and the circuits that wear them", _USED, tuple(rows)),
    )


def _tracer_cell(context: PackContext, code: str) -> Cell:
    tracer = context.variant.colours.tracers.get(code)
    if tracer is None:
        return cell("")
    return Cell((Run(f"{code}/{tracer}"),), wire_swatch(f"{code}/{tracer}", context.variant.colours))


def _table_notes(context: PackContext) -> tuple[str, ...]:
    table = context.variant.colours
    notes = ["The swatches are for the eye only; go by the code."]
    notes.append("A thin line along a tracer is no colour: it sets off a tracer that is about as light as its base.")
    if not table.tracers:
        notes.append("This colour table declares no standard tracers.")
    if table.grade not in (None, "A", "B"):
        notes.append("This table is given from memory.")
    return tuple(notes)


CHART = Chart(40, "colours", "Colour codes", _build)
