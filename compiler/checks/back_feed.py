"""Two fuses whose load sides are joined: either feeds the circuits of the other."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.circuit.feeds import Feeds, Protection
from compiler.circuit.graph import Graph
from compiler.circuit.potentials import JOINED
from compiler.model.items import Wire
from grammar.finding import Finding, Note, Severity
from grammar.source import Span


class BackFeed(Check):
    """Page: pages/back-feed.md."""

    name = "back-feed"
    severity = Severity.ERROR
    family = "protection and feeds"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        for group in joined(subject.feeds):
            yield self._finding(subject.graph, group)

    def _finding(self, graph: Graph, group: list[Protection]) -> Finding:
        names = [protection.device.id for protection in group]
        notes = [Note(p.device.at, f"{p.device.id} is declared here") for p in group]
        if wires := _way(graph, group):
            notes.append(Note(None, f"the way from {names[0]} to {names[1]}: {listing((w.id for w in wires), 12)}"))
        return self.finding(
            meeting(graph, group),
            f"the load sides of {listing(names)} are joined: each feeds the circuits of the other",
            notes=tuple(notes),
            mend="part the circuits here, or put a diode or a contact between them; fuses meant to share a load need a"
            " waiver that says so",
        )


def joined(feeds: Feeds) -> list[list[Protection]]:
    """The groups of protective devices that share the potential of their load sides."""
    of = feeds.potentials.of
    groups: dict[int, list[Protection]] = {}
    for protection in feeds.protections:
        groups.setdefault(of[protection.load], []).append(protection)
    return [group for group in groups.values() if len(group) > 1]


def meeting(graph: Graph, group: list[Protection]) -> Span:
    """Where the circuits meet on the way between two fuses: the first wire of another circuit, else the last one."""
    wires = _way(graph, group)
    if not wires:
        return group[1].device.at
    return next((wire for wire in wires if wire.circuit != wires[0].circuit), wires[-1]).at


def _way(graph: Graph, group: list[Protection]) -> list[Wire]:
    path = graph.path(graph.flood([group[0].load], JOINED), group[1].load)
    return [owner for edge in path if isinstance(owner := graph.owners[edge], Wire)]
