"""A module pin with a role and no wire, hidden by `spare rest`."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks.base import Check, Subject
from compiler.model.items import Point
from grammar.finding import Finding, Note, Severity


class PinUnused(Check):
    """Page: pages/pin-unused.md."""

    name = "pin-unused"
    severity = Severity.NOTE
    family = "cavities and connectors"

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant = subject.variant
        for device in variant.devices.values():
            if device.id in subject.usage.idle:
                continue
            for part in device.parts:
                if part.kind != "pin" or not part.terminals or part.terminals[0] in device.spare:
                    continue
                found = variant.connector_of_terminal(device, part.terminals[0])
                if found is None or variant.wires_at(Point(*found)):
                    continue
                connector = variant.connectors[found[0]]
                if connector.spare_rest and found[1] not in connector.spare and found[1] not in connector.plugged:
                    title = f", {part.title}" if part.title else ""
                    yield self.finding(
                        part.at,
                        f"pin {part.terminals[0]} of {device.id} ({part.role}{title}) has no wire",
                        notes=(Note(connector.at, f"`spare rest` of {connector.id} covers it"),),
                        mend=f"wire it, or mark it `spare {found[1]}` in {connector.id}",
                    )
