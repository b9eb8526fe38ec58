"""Locations: what sits in each zone, drawn on the zone's outline and listed."""

from __future__ import annotations

from compiler.model.items import Connector, Device, FuseBlock, Ground, Located, Splice, Zone
from renderers.cautions import HOT_AND_MOVING
from renderers.cells import absent, access_cell, item_runs, or_absent, sheets_cell
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Group, Leaf, Paragraph
from renderers.drawings.zone import Given, draw_zone
from renderers.tables import About, Column, Row, Run, Table, cell, runs_cell
from renderers.text import anchor, natural_key, number

_COLUMNS = (
    Column("id", "Id", "id", 17),
    Column("name", "Name", "text", 34),
    Column("what", "What", "text", 24),
    Column("words", "Where", "place", 48),
    Column("point", "Point", "text", 15),
    Column("access", "Access, min", "number", 12),
    Column("sheets", "Sheets", "ref", 34),
)


def _build(context: PackContext) -> Blocks:
    groups = [_group(context, zone) for zone in context.variant.zones.values()]
    unplaced = sorted(
        (i for i in context.variant.items.values() if _listed(context, i) and context.place_of(i).place is None),
        key=lambda item: natural_key(item.id),
    )
    if not groups and not unplaced:
        return ()
    lead = (
        "What sits where, zone by zone. A point is given across and down on the zone’s outline; the words say how to"
        " find it on the vehicle. Left and right are those of a driver in the seat, unless a zone says otherwise."
    )
    missing: tuple[Leaf, ...] = ()
    if unplaced:
        rows = tuple(_row(context, item) for item in unplaced)
        missing = (Table("unplaced", "Location not given", _COLUMNS, rows),)
    return (Paragraph((Run(lead),)), *groups, *missing)


def _listed(context: PackContext, item: Located) -> bool:
    """Whether an item is looked for by its place: what sits in a block or on a component is found with that."""
    if isinstance(item, Connector):
        return not item.device
    if isinstance(item, Device):
        return item.block not in context.variant.blocks
    return isinstance(item, FuseBlock | Splice | Ground)


def _group(context: PackContext, zone: Zone) -> Group:
    items = [i for i in context.variant.items_in_zone(zone.id) if i.place and _own_place(context, i)]
    items.sort(key=lambda item: natural_key(item.id))
    leaves: list[Leaf] = [Paragraph((Run(note),)) for note in zone.notes]
    if any(item.place and item.place.point for item in items):
        around = context.around
        given = Given(around.drawings.get(zone.id), around.refused.get(zone.id, ""), context.store)
        leaves += draw_zone(zone, items, given)
    if items:
        rows = tuple(_row(context, item) for item in items)
        name = zone.title or zone.id
        leaves.append(Table(f"locations-{anchor('zone', zone.id)}", "", _COLUMNS, rows, (), "locations", name, "Zone"))
    else:
        leaves.append(Paragraph((Run("Nothing is placed in this zone."),)))
    return Group(anchor("zone", zone.id), zone.title or zone.id, tuple(leaves))


def _own_place(context: PackContext, item: Located) -> bool:
    """Whether the place is the item's own, and not that of the block it stands in or the component it plugs into."""
    if isinstance(item, Device) and item.block in context.variant.blocks:
        return item.place != context.variant.blocks[item.block].place
    if isinstance(item, Connector) and item.device in context.variant.devices:
        return item.place != context.variant.devices[item.device].place
    return not (hasattr(item, "block") and item.block in context.variant.blocks)


def _what(context: PackContext, item: Located) -> str:
    if isinstance(item, Device):
        return context.kind_title(item)
    names = {"FuseBlock": "fuse block", "Bus": "bus or stud"}
    return names.get(type(item).__name__, type(item).__name__.lower())


def _row(context: PackContext, item: Located) -> Row:
    place = item.place
    point = place.point if place else None
    cells = (
        runs_cell(item_runs(context, item.id)),
        cell(item.title),
        cell(_what(context, item)),
        or_absent(place.words if place else ""),
        absent() if point is None else cell(f"{number(point[0])}, {number(point[1])}"),
        access_cell(context, item),
        sheets_cell(context.sheets_of_item(item.id)),
    )
    return Row(cells, about=About(item=item.id))


CHART = Chart(120, "locations", "Component locations", _build, HOT_AND_MOVING)
