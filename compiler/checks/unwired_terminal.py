"""A terminal of a directly wired device that no wire reaches."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.model.items import Device, Point
from compiler.model.variant import Variant
from grammar.finding import Finding, Severity


class UnwiredTerminal(Check):
    """Page: pages/unwired-terminal.md."""

    name = "unwired-terminal"
    severity = Severity.ERROR
    family = "grounds and returns"

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant = subject.variant
        for device in variant.devices.values():
            # What has a connector is told of at its cavities; what no wire reaches at all, as an unused item.
            if device.connectors or device.id in subject.usage.idle:
                continue
            terminals = [t for t in device.terminals if _is_open(variant, device, t) and not _is_inner(device, t)]
            if terminals:
                yield self._finding(device, terminals)

    def _finding(self, device: Device, terminals: list[str]) -> Finding:
        one = len(terminals) == 1
        lonely = device.is_protective and device.parts[0].terminals[0] not in terminals
        begin = f"terminal{'' if one else 's'} {listing(terminals)} of {device.id} {'has' if one else 'have'} no wire"
        return self.finding(
            device.at,
            begin + (": it protects nothing" if lonely else ""),
            mend=f"wire {'it' if one else 'them'}, or mark {'it' if one else 'them'} `spare {' '.join(terminals)}`"
            f" in the block of {device.id}",
            # An empty fuse position is untidy; any other terminal without a wire is a circuit that does not work.
            severity=Severity.WARNING if lonely else None,
        )


def _is_open(variant: Variant, device: Device, terminal: str) -> bool:
    """Whether nothing joins a terminal to the outside: no wire, no bus, no bolted case, and it is not spare."""
    if terminal in device.spare or variant.wires_at(Point(device.id, terminal)):
        return False
    if terminal == "case" and device.case:
        return False
    return not (device.bus and device.parts and device.parts[0].terminals[0] == terminal)


def _is_inner(device: Device, terminal: str) -> bool:
    """Whether a terminal is a contact's (another check's) or only a joint between parts of different kinds inside."""
    kinds = [part.kind for part in device.parts if terminal in part.terminals]
    return "contact" in kinds or len(set(kinds)) > 1
