"""Ground distribution: what returns through each ground, wire by wire, and what is bolted to metal; then the sheets."""

from __future__ import annotations

from collections import defaultdict

from compiler.model.items import Ground
from compiler.network.distribution import Return, returns
from renderers.cells import (
    absent,
    basis_runs,
    colour_cell,
    end_cell,
    harness_cell,
    item_runs,
    items_cell,
    load_cell,
    place_cell,
    size_cell,
    wire_cell,
)
from renderers.charts.base import Blocks, Chart
from renderers.charts.sheets import distribution_cell, distribution_groups
from renderers.context import PackContext
from renderers.document import Block, Paragraph
from renderers.sheets.distribution import GROUND
from renderers.tables import About, Cell, Column, Row, Run, Table, cell, listed, runs_cell
from renderers.text import natural_key

_COLUMNS = (
    Column("ground", "Ground", "ref", 13),
    Column("place", "Location", "place", 30),
    Column("wire", "Wire", "ref", 12),
    Column("colour", "Colour", "colour", 17),
    Column("size", "Size", "size", 15),
    Column("harness", "Harness", "text", 18),
    Column("to", "Comes from", "ref", 28),
    Column("components", "Components that return by it", "ref", 46),
    Column("load", "Load, A", "number", 11),
    Column("sheets", "Sheets", "ref", 15),
)
_METAL = (
    Column("structure", "Metal", "id", 40),
    Column("grounds", "Grounds bolted to it", "ref", 50),
    Column("components", "Components whose case is bolted to it", "ref", 90),
)


def _build(context: PackContext) -> Blocks:
    grounds = [ground for ground in context.by_id(context.variant.grounds) if isinstance(ground, Ground)]
    rows = [row for ground in grounds for row in _rows(context, ground)]
    if not rows:
        return ()
    lead = (
        "Everything that returns through each ground, wire by wire. Where all that fails returns by one wire, look at"
        " that wire; where it returns by one ground, look at the ground. A wire that leads to another ground is a"
        " strap: what returns to the one may pass the other, and is not in the loads."
    )
    blocks: list[Block] = [
        Paragraph((Run(lead), *basis_runs())),
        Table("ground-returns", "Grounds", _COLUMNS, tuple(rows)),
    ]
    metal = _metal(context, grounds)
    if metal:
        blocks.append(Table("metal", "Metal that grounds are bolted to", _METAL, metal))
    return (*blocks, *distribution_groups(context, GROUND))


def _rows(context: PackContext, ground: Ground) -> list[Row]:
    found = []
    for place, back in enumerate(returns(context.loads.flows, ground)):
        wire = back.wire
        own = wire.a if wire.a.point and wire.a.point.item == ground.id else wire.b
        far = wire.b if own is wire.a else wire.a
        cells = (
            runs_cell(item_runs(context, ground.id)),
            place_cell(context, ground) if place == 0 else cell(""),
            wire_cell(wire),
            colour_cell(context, wire),
            size_cell(wire),
            harness_cell(context, wire.harness),
            end_cell(context, far),
            _components(context, back),
            load_cell(context.loads.wires.get(wire.id)),
            distribution_cell(context, ground.id, GROUND) if place == 0 else cell(""),
        )
        found.append(Row(cells, about=About((wire.circuit,), wire=wire.id, item=ground.id)))
    return found


def _components(context: PackContext, back: Return) -> Cell:
    if back.grounds:
        return runs_cell((Run("strap to "), *listed(item_runs(context, name) for name in back.grounds)))
    devices = [context.variant.devices[name] for name in sorted(back.devices, key=natural_key)]
    return items_cell(context, devices) if devices else absent()


def _metal(context: PackContext, grounds: list[Ground]) -> tuple[Row, ...]:
    bolted: dict[str, list[Ground]] = defaultdict(list)
    for ground in grounds:
        bolted[ground.structure].append(ground)
    cases = defaultdict(list)
    for device in context.by_id(context.variant.devices):
        if case := context.variant.devices[device.id].case:
            cases[case].append(device)
    rows = []
    for name in dict.fromkeys((*bolted, *cases)):
        structure = context.variant.structures.get(name)
        title = structure.title or structure.id if structure else name
        rows.append(
            Row((cell(title), items_cell(context, bolted.get(name, ())), items_cell(context, cases.get(name, ()))))
        )
    return tuple(rows)


CHART = Chart(140, "returns", "Ground distribution", _build)
