"""A supply that wires alone join to ground."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.circuit.graph import Graph
from compiler.circuit.shorts import Short, shorts
from compiler.model.variant import Variant
from grammar.finding import Finding, Note, Severity


class SupplyShort(Check):
    """Page: pages/supply-short.md."""

    name = "supply-short"
    severity = Severity.ERROR
    family = "protection and feeds"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        if subject.feeds.has_source:
            for short in shorts(subject.feeds):
                yield self._finding(subject.variant, subject.graph, short)

    def _finding(self, variant: Variant, graph: Graph, short: Short) -> Finding:
        device = variant.devices[graph.points[short.hot[0]].item]
        points = [str(graph.points[node]) for node in short.hot]
        hot = f"{listing(points)} {'is' if len(points) == 1 else 'are'}"
        cold = graph.points[short.cold[0]]
        wires = [wire.id for wire in short.wires]
        way = f" over {'wire' if len(wires) == 1 else 'wires'} {listing(wires, 10)}" if wires else ""
        outcome = "the fuse blows at once" if device.is_protective else "nothing limits the current"
        return self.finding(
            short.worst.at if short.worst else device.at,
            f"{hot} joined to ground at {cold}{way}, with no load between: {outcome}",
            notes=(Note(device.at, f"{device.id} feeds it"),),
            mend="end the wire elsewhere, or put the load between",
        )
