"""Two fuses whose load sides are joined: either feeds the circuits of the other."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.circuit.feeds import Protection
from compiler.circuit.graph import Graph
from compiler.circuit.potentials import JOINED
from compiler.model.items import Wire
from grammar.finding import Finding, Note, Severity


class BackFeed(Check):
    """Page: pages/back-feed.md."""

    name = "back-feed"
    severity = Severity.ERROR
    family = "protection and feeds"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        of = subject.feeds.potentials.of
        groups: dict[int, list[Protection]] = {}
        for protection in subject.feeds.protections:
            groups.setdefault(of[protection.load], []).append(protection)
        for group in groups.values():
            if len(group) > 1:
                yield self._finding(subject.graph, group)

    def _finding(self, graph: Graph, group: list[Protection]) -> Finding:
        first, second = group[:2]
        path = graph.path(graph.flood([first.load], JOINED), second.load)
        wires = [owner for edge in path if isinstance(owner := graph.owners[edge], Wire)]
        names = [protection.device.id for protection in group]
        notes = [Note(p.device.at, f"{p.device.id} is declared here") for p in group]
        if wires:
            notes.append(Note(None, f"the way from {names[0]} to {names[1]}: {listing((w.id for w in wires), 12)}"))
        return self.finding(
            _meeting(wires).at if wires else second.device.at,
            f"the load sides of {listing(names)} are joined: each feeds the circuits of the other",
            notes=tuple(notes),
            mend="part the circuits here, or put a diode or a contact between them; fuses meant to share a load need a"
            " waiver that says so",
        )


def _meeting(wires: list[Wire]) -> Wire:
    """Where the circuits meet on the way between two fuses: the first wire of another circuit, else the last one."""
    return next((wire for wire in wires if wire.circuit != wires[0].circuit), wires[-1])
