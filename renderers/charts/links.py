"""Fusible links: size, what they protect, and how they are repaired."""

from __future__ import annotations

from compiler.model.items import Device, Wire
from compiler.standards.grades import grade_words
from compiler.standards.links import expected_link, link_rule
from compiler.standards.sizes import Size
from renderers.cautions import FUSES
from renderers.cells import (
    absent,
    access_cell,
    basis_runs,
    circuits_cell,
    item_runs,
    load_cell,
    load_notes,
    place_cell,
    sheets_cell,
    size_text,
    wire_cell,
)
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Bullets, Group, Paragraph
from renderers.tables import About, Cell, Column, Row, Run, Table, cell, listed, runs_cell
from renderers.text import anchor, natural_key, number

_COLUMNS = (
    Column("id", "Link", "id", 20),
    Column("name", "Name", "text", 26),
    Column("size", "Size", "size", 16),
    Column("length", "Length, m", "number", 14),
    Column("place", "Location", "place", 32),
    Column("access", "Access, min", "number", 13),
    Column("wires", "Wires on it", "ref", 24),
    Column("circuits", "Feeds circuits", "ref", 19),
    Column("load", "Load, A", "number", 12),
    Column("sheets", "Sheets", "ref", 19),
)
_SIZES = (
    Column("wire", "Wire", "size", 40),
    Column("link", "Fusible link", "size", 40),
)


# The order of work at a link that has opened: common practice.
_REPAIR = """
Disconnect the battery, ground cable first.
Find out why the link opened, and mend that first: look for a chafed wire between the link and the fuses behind it.
Cut the link out at its joints. Take no more of the wire with it than the joint needs.
Fit a link of the same size and length, with crimped joints made for its size; seal each joint. Keep it off other wires.
Pull at both joints. Connect the battery and measure across the link with its loads on: it drops little more than 0.1 V.
"""


def _build(context: PackContext) -> Blocks:
    links = [d for d in context.variant.devices.values() if d.kind == "fusible-link"]
    if not links:
        return ()
    links.sort(key=lambda d: natural_key(d.id))
    rule = link_rule()
    lead = (
        "A fusible link is a length of thinner wire with an insulation that withstands the arc. It melts before the"
        " wire it protects. A link that has opened may look whole: pull it gently, or measure across it."
    )
    rows = tuple(_row(context, link) for link in links)
    sizes = {wire.size for link in links for wire in _protected_wires(context, link) if wire.size}
    fits = tuple(_fit_row(size) for size in sorted(sizes, key=lambda size: (size.system, size.area_mm2)))
    rules = Bullets(tuple((Run(text),) for text in rule.repair))
    note = f"Rule: a link is {rule.steps} gauge numbers smaller than its wire ({grade_words(rule.grade)})."
    return (
        Paragraph((Run(lead), *basis_runs())),
        Table("fusible-links", "Links of this variant", _COLUMNS, rows, _notes(context, links)),
        *((Table("link-sizes", "Link for a wire", _SIZES, fits, (note,)),) if fits else ()),
        Group(anchor("links", "repair"), "Repair (common practice)", (rules, _steps())),
    )


def _notes(context: PackContext, links: list[Device]) -> tuple[str, ...]:
    return load_notes(context.loads.fuses.get(link.id) for link in links)


def _steps() -> Bullets:
    return Bullets(tuple((Run(step),) for step in _REPAIR.strip().splitlines()), numbered=True)


def _protected_wires(context: PackContext, link: Device) -> tuple[Wire, ...]:
    """Wires on the load side of a link, as the circuit runs."""
    feeds = context.protections.get(link.id, ())
    return tuple(wire for feed in feeds for wire in context.variant.wires_at(context.graph.points[feed.load]))


def _row(context: PackContext, link: Device) -> Row:
    wires = context.variant.wires_of_item(link.id)
    length = link.ratings.get("length")
    load = context.loads.fuses.get(link.id)
    cells = (
        runs_cell(item_runs(context, link.id)),
        cell(link.title),
        _size(link),
        absent() if length is None else cell(number(length)),
        place_cell(context, link),
        access_cell(context, link),
        runs_cell(listed(wire_cell(wire).runs for wire in wires)),
        circuits_cell(context, context.fed_by(link).circuits, named=False),
        load_cell(load.load if load else None),
        sheets_cell(context.sheets_of_item(link.id)),
    )
    return Row(cells, context.home(link.id), about=About(tuple(dict.fromkeys(w.circuit for w in wires)), item=link.id))


def _size(link: Device) -> Cell:
    return absent() if link.size is None else cell(size_text(link.size))


def _fit_row(size: Size) -> Row:
    return Row((cell(size_text(size)), cell(expected_link(size).replace("mm2", "mm²"))))


CHART = Chart(60, "links", "Fusible links", _build, FUSES)
