"""Power distribution: from the sources through links and fuses to what each feeds; then the sheets that draw it."""

from __future__ import annotations

from collections import defaultdict

from compiler.model.items import Device
from compiler.network.distribution import FeedWay
from renderers.cautions import FUSES
from renderers.cells import (
    absent,
    basis_runs,
    circuits_cell,
    item_runs,
    load_cell,
    load_notes,
    place_cell,
    size_text,
    wire_cell,
)
from renderers.charts.base import Blocks, Chart
from renderers.charts.sheets import distribution_cell, distribution_groups
from renderers.context import PackContext
from renderers.document import Paragraph
from renderers.sheets.distribution import POWER
from renderers.tables import About, Cell, Column, Row, Run, Table, cell, listed, runs_cell
from renderers.text import natural_key, number

_COLUMNS = (
    Column("id", "Device", "id", 20),
    Column("name", "Name", "text", 32),
    Column("rating", "Rating", "number", 14),
    Column("place", "Location", "place", 24),
    Column("bus", "From bus", "ref", 20),
    Column("through", "Through", "ref", 16),
    Column("wires", "By wires", "ref", 29),
    Column("feeds", "Feeds", "ref", 31),
    Column("load", "Load, A", "number", 11),
    Column("sheets", "Sheets", "ref", 15),
)
_STEP = "› "


def _build(context: PackContext) -> Blocks:
    protective = [device for device in context.variant.devices.values() if device.id in context.protections]
    if not protective:
        return ()
    ways = context.loads.ways
    below: dict[str, list[FeedWay]] = defaultdict(list)
    for way in ways.values():
        below[way.above[-1].id if way.above else ""].append(way)
    rows: list[Row] = []

    def walk(above: str, depth: int) -> None:
        for way in sorted(below[above], key=lambda way: natural_key(way.device.id)):
            rows.append(_row(context, way.device, way, below[way.device.id], depth))
            walk(way.device.id, depth + 1)

    sources = [d for d in context.variant.devices.values() if d.kind in ("battery", "alternator")]
    if below[""]:
        names = ", ".join(f"{device.id} {device.title}".rstrip() for device in sources)
        rows.append(_head(f"From {names}" if names else "From the source"))
        walk("", 0)
    lost = sorted((d for d in protective if d.id not in ways), key=lambda device: natural_key(device.id))
    if lost:
        rows.append(_head("No way from a source is known"))
        rows += (_row(context, device, None, [], 0) for device in lost)
    lead = (
        "How supply reaches every fuse, breaker and fusible link, in the order in which current passes them: each mark"
        f" {_STEP.strip()} is one more protective device in front. “Through” names the switches and relays that must be"
        " closed on the way. “Feeds” names the devices next in line, and the circuits that hang on the fuse itself."
    )
    notes = load_notes(context.loads.fuses.get(device.id) for device in protective)
    table = Table("power-ways", "Sources, links, fuses", _COLUMNS, tuple(rows), notes)
    return (Paragraph((Run(lead), *basis_runs())), table, *distribution_groups(context, POWER))


def _head(words: str) -> Row:
    return Row((cell(words), *[cell("")] * (len(_COLUMNS) - 1)), marks=("head",))


def _row(context: PackContext, device: Device, way: FeedWay | None, below: list[FeedWay], depth: int) -> Row:
    load = context.loads.fuses.get(device.id)
    circuits = () if below else context.fed_by(device).circuits
    next_ = sorted((step.device.id for step in below), key=natural_key)
    feeds = circuits_cell(context, circuits, named=False)
    if below:
        feeds = runs_cell(listed(item_runs(context, name) for name in next_))
    lead = (Run(_STEP * depth, muted=True),) if depth else ()
    cells = (
        runs_cell((*lead, *item_runs(context, device.id))),
        cell(device.title),
        _rating(device),
        _place(context, device),
        runs_cell(item_runs(context, way.bus) if way.bus else ()) if way else absent(),
        runs_cell(listed(item_runs(context, d.id) for d in way.through)) if way else absent(),
        runs_cell(listed(wire_cell(wire).runs for wire in way.wires)) if way else absent(),
        feeds,
        load_cell(load.load if load else None),
        distribution_cell(context, device.id, POWER),
    )
    return Row(cells, about=About(tuple(circuits) if len(circuits) == 1 else (), item=device.id))


def _place(context: PackContext, device: Device) -> Cell:
    """Block and slot of what sits in one, since its fuse chart says where the block is; else where the device sits."""
    if device.block not in context.variant.blocks:
        return place_cell(context, device)
    slot = f", slot {device.word('slot')}" if device.word("slot") else ""
    return runs_cell((*item_runs(context, device.block), *((Run(slot),) if slot else ())))


def _rating(device: Device) -> Cell:
    amps = device.ratings.get("current")
    if amps is not None:
        return cell(f"{number(amps)} A")
    return cell(size_text(device.size)) if device.size else absent()


CHART = Chart(130, "power", "Power distribution", _build, FUSES)
