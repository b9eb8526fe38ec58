"""A part without a place."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from compiler.checks._words import counted, listing
from compiler.checks.base import Check, Subject
from compiler.model.items import Located
from compiler.model.variant import Variant
from grammar.finding import Finding, Severity


class Unlocated(Check):
    """Page: pages/unlocated.md."""

    name = "unlocated"
    severity = Severity.WARNING
    family = "locations, sheets and index"

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant, idle = subject.variant, subject.usage.idle
        found = [(sort, item) for sort, item in _to_be_found(variant) if item.id not in idle]
        if found and not variant.zones and "zone" not in subject.unread.lost:
            # Sources that give no places at all: one fault, not one a part.
            yield self.finding(
                variant.header.at,
                f"nothing in this variant has a place: {_numbers(sort for sort, _ in found)}",
                mend="declare zones, and say `at ZONE` for each of them",
            )
            return
        for sort, item in found:
            yield self.finding(
                item.at, f"{sort} {item.id} has no place", mend="say `at ZONE (x, y) \"words\"` behind it"
            )


def _to_be_found(variant: Variant) -> Iterator[tuple[str, Located]]:
    """What a technician must find and the source does not say where."""
    for device in variant.devices.values():
        if _lacks_place(device) and device.block not in variant.blocks:
            yield device.kind.replace("-", " "), device
    for connector in variant.connectors.values():
        if _lacks_place(connector) and connector.is_inline:
            yield "connector", connector
    for splice in variant.splices.values():
        if _lacks_place(splice):
            yield "splice", splice
    for ground in variant.grounds.values():
        if _lacks_place(ground):
            yield "ground", ground
    for block in variant.blocks.values():
        if _lacks_place(block):
            yield "fuse block", block
    for bus in variant.buses.values():
        if _lacks_place(bus) and not bus.block:
            yield "bus", bus


def _lacks_place(item: Located) -> bool:
    return item.place is None or not item.place.zone


def _numbers(sorts: Iterator[str]) -> str:
    known = ("connector", "splice", "ground", "fuse block", "bus")
    counts = Counter(sort if sort in known else "component" for sort in sorts)
    return listing(counted(number, sort, "buses" if sort == "bus" else "") for sort, number in counts.items())
