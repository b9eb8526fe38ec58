"""A circuit or component that no sheet shows."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._words import counted
from compiler.checks.base import Check, Subject
from grammar.finding import Finding, Severity


class Unsheeted(Check):
    """Page: pages/unsheeted.md."""

    name = "unsheeted"
    severity = Severity.WARNING
    family = "locations, sheets and index"

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant, idle = subject.variant, subject.usage.idle
        circuits = [
            circuit
            for circuit in variant.circuits.values()
            if variant.wires_of_circuit(circuit.id) and not variant.sheets_of_circuit(circuit.id)
        ]
        if not variant.sheets and "sheet" in subject.unread.lost:
            return  # the sheets are there, and could not be read
        if circuits and not variant.sheets:
            # Sources without sheets: one fault, not one a circuit.
            yield self.finding(
                variant.header.at,
                f"this variant has no sheets: {counted(len(circuits), 'circuit')} on none",
                mend="write `sheet ID \"...\" { circuits ... }` for them",
            )
            return
        for circuit in circuits:
            yield self.finding(
                circuit.at,
                f"circuit {circuit.id} is on no sheet",
                mend=f"list it in a sheet: `circuits {circuit.id}`",
            )
        named = {word.text for sheet in variant.sheets.values() for word, _ in sheet.components}
        points = variant.wired_points
        for device in variant.devices.values():
            # A component at the end of circuits that are all on no sheet shows up as soon as those do.
            if device.block or device.id in named or any(points(id_) for id_ in (device.id, *device.connectors)):
                continue
            if device.id not in idle and not variant.sheets_of_item(device.id):
                yield self.finding(
                    device.at,
                    f"{device.kind.replace('-', ' ')} {device.id} is on no sheet",
                    mend=f"list it in a sheet: `components {device.id}`",
                )
