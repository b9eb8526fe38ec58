"""A contact of a switch or relay that can never do anything, or a position in which nothing happens."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.assembly.names import nearest
from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.model.items import Device, Part, Point
from compiler.model.variant import Variant
from grammar.finding import Finding, Severity
from grammar.source import Source, Span

# Positions that are meant to do nothing, beside the one at rest.
_IDLE_WORDS = frozenset("off neutral centre center rest at-rest lock released normal park open closed 0".split())


class SwitchContactUnused(Check):
    """Page: pages/switch-contact-unused.md."""

    name = "switch-contact-unused"
    severity = Severity.ERROR
    family = "electrical behaviour"

    def run(self, subject: Subject) -> Iterator[Finding]:
        idle, sources = subject.usage.idle, subject.variant.sources
        for device in subject.variant.devices.values():
            contacts = [part for part in device.parts if part.kind == "contact"]
            if not contacts:
                continue
            misnamed = list(self._misnamed(device, contacts, sources))
            yield from misnamed
            if not misnamed:
                yield from self._positions(device, contacts)
            if device.id not in idle:
                yield from self._open(subject.variant, device, contacts)

    def _misnamed(self, device: Device, contacts: list[Part], sources: tuple[Source, ...]) -> Iterator[Finding]:
        for part in contacts:
            unknown = [name for name in part.when if name not in device.positions]
            if unknown and device.positions:
                near = nearest(unknown[0], device.positions)
                yield self.finding(
                    _place(device, part, sources),
                    f"contact {_ways(part)} of {device.id} closes in {listing(unknown)}, a position it does not have",
                    mend=f"did you mean `{near}`?" if near else f"its positions are {', '.join(device.positions)}",
                )

    def _positions(self, device: Device, contacts: list[Part]) -> Iterator[Finding]:
        if not device.positions or any(not part.when for part in contacts):
            return
        used = {name for part in contacts for name in part.when}
        empty = [name for name in device.positions if name not in used]
        # One position in which nothing is closed is what a switch is for.
        empty = [name for name in empty if name != device.positions[0] and name not in _IDLE_WORDS]
        if len(empty) > (0 if device.positions[0] not in used else 1):
            yield self.finding(
                device.at,
                f"no contact of {device.id} closes in {listing(empty)}",
                mend="give the contacts that close there, or take the position out",
                severity=Severity.NOTE,
            )

    def _open(self, variant: Variant, device: Device, contacts: list[Part]) -> Iterator[Finding]:
        by_cause: dict[tuple[str, ...], list[Part]] = {}
        for part in contacts:
            terminals = tuple(t for t in part.terminals if _is_open(variant, device, t))
            if terminals:
                by_cause.setdefault(terminals, []).append(part)
        for terminals, parts in by_cause.items():
            one = len(terminals) == 1
            ways = listing(map(_ways, parts))
            contact = f"contact {ways} joins" if len(parts) == 1 else f"contacts {ways} join"
            yield self.finding(
                _place(device, parts[0], variant.sources) if len(parts) == 1 else device.at,
                f"terminal{'' if one else 's'} {listing(terminals)} of {device.id} {'has' if one else 'have'} no wire:"
                f" {contact} nothing",
                mend=f"wire {'it' if one else 'them'}, or mark {'it' if one else 'them'} `spare {' '.join(terminals)}`"
                f" in the block of {device.id}",
            )


def _is_open(variant: Variant, device: Device, terminal: str) -> bool:
    """Whether a contact's terminal leads nowhere: no wire, no cavity, no other part inside, and it is not spare."""
    if variant.wires_at(Point(device.id, terminal)):
        return False
    if terminal in device.spare or terminal == "case" or variant.connector_of_terminal(device, terminal):
        return False
    return all(part.kind == "contact" for part in device.parts if terminal in part.terminals)


def _ways(part: Part) -> str:
    return "-".join(part.terminals)


def _place(device: Device, part: Part, sources: tuple[Source, ...]) -> Span:
    """The contact's own line, unless it is built into its kind."""
    return part.at if any(part.at.source is source for source in sources) else device.at
