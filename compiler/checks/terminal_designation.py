"""A terminal designation of DIN 72552 used against its meaning."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks.base import Check, Subject
from compiler.model.items import Device, Part
from compiler.standards.terminals import din72552_table
from grammar.finding import Finding, Note, Severity
from grammar.source import Span

_COIL = ("85", "86")
_CONTACT = ("30", "87", "87a")
_RELAY = "common practice on vehicles: 85 and 86 the coil, 30 the common, 87 make, 87a break"


class TerminalDesignation(Check):
    """Page: pages/terminal-designation.md."""

    name = "terminal-designation"
    severity = Severity.WARNING
    family = "electrical behaviour"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        known = {id(source) for source in subject.variant.sources}
        for device in subject.variant.devices.values():
            if any(part.kind == "coil" for part in device.parts):
                for part in device.parts:
                    if says := _against(part):
                        at = part.at if id(part.at.source) in known else device.at
                        yield self._finding(at, f"{device.id}: {says}", _RELAY)
        if subject.feeds.has_source:
            yield from self._fed_grounds(subject)

    def _finding(self, at: Span, says: str, source: str) -> Finding:
        mend = "use the designation that is on the part, or change what it does"
        return self.finding(at, says, notes=(Note(None, source),), mend=mend)

    def _fed_grounds(self, subject: Subject) -> Iterator[Finding]:
        """Terminal 31 is battery negative or ground: a supply there and no way to ground is a mix-up of two wires."""
        feeds, graph = subject.feeds, subject.graph
        of = feeds.potentials.of
        for node, point in enumerate(graph.points):
            if point.terminal == "31" and of[node] in feeds.fed_by and of[node] not in feeds.grounded_by:
                device: Device | None = subject.variant.devices.get(point.item)
                if device is not None:
                    meaning = din72552_table()["31"]
                    yield self._finding(
                        device.at,
                        f"terminal 31 of {device.id} is fed and does not reach ground",
                        f"DIN 72552: 31 is {meaning.meaning}",
                    )


def _against(part: Part) -> str:
    """What a coil or contact of a relay does against common practice, in words; empty when nothing."""
    named = set(part.terminals)
    if part.kind == "coil":
        wrong = named.intersection(_CONTACT)
        return f"the coil stands on {min(wrong)}, a contact's designation" if wrong else ""
    if part.kind != "contact":
        return ""
    if wrong := named.intersection(_COIL):
        return f"a contact stands on {min(wrong)}, a coil's designation"
    if "87a" in named and "87" not in named and part.when == ("energised",):
        return "the contact to 87a closes when energised; 87a is the break contact"
    if "87" in named and "87a" not in named and part.when == ("at-rest",):
        return "the contact to 87 closes at rest; 87 is the make contact"
    return ""
