"""Fuse charts: each block slot by slot, what every fuse feeds, and the buses behind them."""

from __future__ import annotations

from compiler.model.items import Bus, Device, FuseBlock
from compiler.standards.fuses import colour_of, fuse_type
from renderers.cautions import FUSES
from renderers.cells import (
    absent,
    access_cell,
    circuits_cell,
    item_runs,
    items_cell,
    load_cell,
    load_notes,
    margin_cell,
    or_absent,
    place_cell,
    sheets_cell,
)
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Block, Group, Leaf, Paragraph
from renderers.drawings.fuse_block import draw_block
from renderers.swatches import named_swatch
from renderers.tables import About, Cell, Column, Row, Run, Table, cell, runs_cell
from renderers.text import anchor, natural_key, number

_FUSES = (
    Column("slot", "Slot", "id", 8),
    Column("id", "Fuse", "id", 10),
    Column("name", "Name", "text", 22),
    Column("rating", "Rating", "number", 12),
    Column("type", "Type", "text", 14),
    Column("colour", "Colour", "colour", 20),
    Column("from", "Fed from", "ref", 22),
    Column("components", "Feeds components", "ref", 45),
    Column("circuits", "Circuits", "ref", 19),
    Column("load", "Load, A", "number", 10),
    Column("margin", "Margin, A", "number", 13),
    Column("sheets", "Sheets", "ref", 16),
)
_OTHERS = (
    Column("slot", "Slot", "id", 12),
    Column("id", "Part", "id", 18),
    Column("name", "Name", "text", 62),
    Column("kind", "Kind", "text", 40),
    Column("sheets", "Sheets", "ref", 42),
)
_OUTSIDE = (*_FUSES[1:6], Column("place", "Location", "place", 28), *_FUSES[7:])
_BUSES = (
    Column("id", "Bus or stud", "id", 24),
    Column("name", "Name", "text", 34),
    Column("place", "Location", "place", 40),
    Column("fuses", "Fuses on it", "ref", 46),
    Column("load", "Load, A", "number", 14),
    Column("sheets", "Sheets", "ref", 20),
)
_MEMORY = "†"


def is_fuse(device: Device) -> bool:
    """Whether a device is nothing but a fuse or breaker (links have a chart of their own)."""
    return device.is_protective and len(device.parts) == 1 and device.kind != "fusible-link"


def _build(context: PackContext) -> Blocks:
    variant = context.variant
    blocks: list[Block] = [
        _group(context, block) for block in context.by_id(variant.blocks) if isinstance(block, FuseBlock)
    ]
    outside = [d for d in variant.devices.values() if is_fuse(d) and d.block not in variant.blocks]
    if outside:
        rows = tuple(_fuse_row(context, d, place=True) for d in sorted(outside, key=lambda d: natural_key(d.id)))
        blocks.append(
            Table("fuses-outside", "Fuses and breakers outside the blocks", _OUTSIDE, rows, _notes(context, rows))
        )
    buses = [bus for bus in context.by_id(variant.buses) if isinstance(bus, Bus)]
    if buses:
        rows = tuple(_bus_row(context, bus) for bus in buses)
        blocks.append(Table("buses", "Buses and studs", _BUSES, rows))
    if not blocks:
        return ()
    lead = Paragraph(
        (
            Run("Replace a fuse only by one of the same type and rating. Go by the figure on the fuse: a colour alone"
                " gives no rating, since types differ. Components named are those that the fuse feeds, through any"
                " switch or relay, up to the next fuse."),
        )
    )  # fmt: skip
    margin = " The margin is what the rating leaves."
    return (lead, Paragraph((Run(context.loads.basis + margin),)), *blocks)


def _group(context: PackContext, block: FuseBlock) -> Group:
    devices = [d for d in context.variant.devices.values() if d.block == block.id]
    devices.sort(key=lambda d: (not d.word("slot"), natural_key(d.word("slot")), natural_key(d.id)))
    fuses = [d for d in devices if is_fuse(d)]
    others = [d for d in devices if not is_fuse(d)]
    leaves: list[Leaf] = [Paragraph(_where(context, block))]
    if devices:
        leaves += draw_block(context, block, devices)
    if fuses:
        rows = tuple(_fuse_row(context, device, place=False) for device in fuses)
        leaves.append(
            Table(
                f"fuses-{anchor('block', block.id)}",
                "",
                _FUSES,
                rows,
                _notes(context, rows),
                "fuses",
                block.id,
                "Block",
            )
        )
    if others:
        rows = tuple(_other_row(context, device) for device in others)
        name = f"block-parts-{anchor('block', block.id)}"
        leaves.append(
            Table(name, "Relays and other parts in this block", _OTHERS, rows, (), "block-parts", block.id, "Block")
        )
    leaves += [Paragraph((Run(note),)) for note in block.notes]
    return Group(context.home(block.id), f"{block.id}  {block.title}".rstrip(), tuple(leaves), block.id)


def _where(context: PackContext, block: FuseBlock) -> tuple[Run, ...]:
    runs = (Run("Location: "), *place_cell(context, block).runs)
    access = access_cell(context, block)
    return (*runs, Run(f". Access: {access.text} min.")) if access.mark != "absent" else (*runs, Run("."))


def _fuse_row(context: PackContext, device: Device, *, place: bool) -> Row:
    fed = context.fed_by(device)
    load = context.loads.fuses.get(device.id)
    amps = device.ratings.get("current")
    cells = {
        "slot": cell(device.word("slot")) if device.word("slot") else absent(),
        "id": runs_cell(item_runs(context, device.id, named=False)),
        "name": cell(device.title),
        "rating": absent() if amps is None else cell(f"{number(amps)} A"),
        "type": cell("breaker") if device.kind == "breaker" else or_absent(device.word("type")),
        "colour": _colour(device, amps),
        "from": _from(context, device),
        "place": place_cell(context, device),
        "circuits": circuits_cell(context, fed.circuits, named=False),
        "components": items_cell(context, fed.devices),
        "load": load_cell(load.load if load else None),
        "margin": margin_cell(load),
        "sheets": sheets_cell(context.sheets_of_item(device.id)),
    }
    columns = _OUTSIDE if place else _FUSES
    row = tuple(cells[column.key] for column in columns)
    own = dict.fromkeys(w.circuit for w in context.variant.wires_of_item(device.id))
    return Row(row, context.home(device.id), about=About(tuple(own), item=device.id))


def _from(context: PackContext, device: Device) -> Cell:
    if device.bus:
        return runs_cell(item_runs(context, device.bus))
    feeds = context.protections.get(device.id, ())
    graph = context.graph
    wires = [w for feed in feeds for w in context.variant.wires_at(graph.points[feed.feed])]
    return circuits_cell(context, (w.circuit for w in wires), named=False) if wires else absent()


def _colour(device: Device, amps: float | None) -> Cell:
    """The colour the author gave, else the published one of the type and rating; a dagger marks one from memory."""
    kind = device.word("type")
    if word := device.word("colour"):
        return Cell((Run(word),), named_swatch(word))
    if device.kind != "fuse" or not kind or amps is None:
        return absent()
    try:
        words = colour_of(kind, amps)
    except KeyError:
        return absent()
    if not words:
        return absent()
    mark = "" if fuse_type(kind).enforces_colour(amps) else f" {_MEMORY}"
    return Cell((Run(words[0] + mark),), named_swatch(words[0]))


def _notes(context: PackContext, rows: tuple[Row, ...]) -> tuple[str, ...]:
    notes = []
    if any(_MEMORY in c.text for row in rows for c in row.cells if c.swatch):
        notes.append(
            f"{_MEMORY} Usual colour of this type and rating, given from memory: go by the figure on the fuse."
        )
    if any((found := context.loads.fuses.get(row.about.item)) and found.feeds_fuses for row in rows):
        notes.append("The load of a fuse that feeds other fuses is that of everything behind it at one time.")
    return (*notes, *load_notes(context.loads.fuses.get(row.about.item) for row in rows))


def _other_row(context: PackContext, device: Device) -> Row:
    circuits = dict.fromkeys(wire.circuit for wire in context.variant.wires_of_item(device.id))
    cells = (
        cell(device.word("slot")) if device.word("slot") else absent(),
        runs_cell(item_runs(context, device.id)),
        cell(device.title),
        cell(context.kind_title(device)),
        sheets_cell(context.sheets_of_item(device.id)),
    )
    return Row(cells, about=About(tuple(circuits), item=device.id))


def _bus_row(context: PackContext, bus: Bus) -> Row:
    fuses = sorted((d for d in context.variant.devices.values() if d.bus == bus.id), key=lambda d: natural_key(d.id))
    circuits = dict.fromkeys(wire.circuit for wire in context.variant.wires_of_item(bus.id))
    place = context.variant.blocks.get(bus.block)
    where = place_cell(context, bus) if place is None else runs_cell((*item_runs(context, place.id, named=True),))
    cells = (
        cell(bus.id),
        cell(bus.title),
        where,
        items_cell(context, fuses, named=False),
        load_cell(context.loads.buses.get(bus.id)),
        sheets_cell(context.sheets_of_item(bus.id)),
    )
    return Row(cells, context.home(bus.id), about=About(tuple(circuits), item=bus.id))


CHART = Chart(70, "fuses", "Fuse charts", _build, FUSES)
