"""Planters of faults in locations, drawings and sheets."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.circuit.feeds import Feeds
from compiler.model.variant import Variant
from grammar.source import Span
from tests.seeded.edits import Planted
from tests.seeded.planters import planter


@planter("unlocated")
def unlocated(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for item in variant.items.values():
        place = item.place
        if place is None or place.at is None or not (item.span.start <= place.at.start < item.span.end):
            continue
        if place.at.source is item.span.source and item.id not in variant.cables:
            connector = variant.connectors.get(item.id)
            if connector is None or connector.is_inline:
                yield Planted().replace(place.at, "").at(item.at)


@planter("zone-drawing")
def zone_drawing(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for zone in variant.zones.values():
        start = zone.span.source.text.find(f'"{zone.drawing}"', zone.span.start, zone.span.end) + 1
        if zone.drawing and start:
            for name in ("zones/gone.svg", "../outside.svg"):
                yield Planted().replace(Span(zone.span.source, start, start + len(zone.drawing)), name).at(zone.at)


@planter("unsheeted")
def unsheeted(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for sheet in variant.sheets.values():
        if len(sheet.circuits) < 2:
            continue
        for word, span in sheet.circuits:
            if len(variant.sheets_of_circuit(word.text)) == 1:
                yield Planted().replace(span, "").at(variant.circuits[word.text].at)


@planter("sheet-reference")
def sheet_reference(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for sheet in variant.sheets.values():
        brace = sheet.span.source.text.index("{", sheet.span.start) + 1
        where = Span(sheet.span.source, brace, brace)
        yield Planted().insert(where, " see 997;").at(sheet.at)
