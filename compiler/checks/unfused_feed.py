"""A wire that a battery feeds through no fuse, breaker or fusible link."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from compiler.checks._waivers import excused
from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.circuit.graph import Graph, Reached
from compiler.circuit.shorts import shorts
from compiler.model.items import Wire
from grammar.finding import Finding, Note, Severity
from grammar.source import Span


class Run(NamedTuple):
    """The wires that hang on one unprotected wire, that wire first; the supply's node, the node at its feed end."""

    wires: list[Wire]
    supply: int
    start: int


class UnfusedFeed(Check):
    """Page: pages/unfused-feed.md."""

    name = "unfused-feed"
    severity = Severity.ERROR
    family = "protection and feeds"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        if not subject.feeds.has_source:
            return
        graph, feeds = subject.graph, subject.feeds
        # What lies behind a short to ground is no feed.
        cut = {short.worst for short in shorts(feeds) if short.worst}
        reached = feeds.unprotected_but(cut) if cut else feeds.unprotected
        for run in _runs(graph, reached, excused(subject.variant, self.name)):
            wire = run.wires[0]
            supply, start = graph.points[run.supply], graph.points[run.start]
            behind = [other.id for other in run.wires[1:]]
            more = f", nor {'does' if len(behind) == 1 else 'do'} {listing(behind)} behind it" if behind else ""
            yield self.finding(
                wire.at,
                f"wire {wire.id} does not pass a fuse, breaker or fusible link on its way from {supply}{more}",
                notes=(Note(subject.variant.devices[supply.item].at, f"{supply.item} feeds it"),),
                mend=f"put a fuse, breaker or fusible link at its end at {start}, or waive it with the reason",
            )


def _runs(graph: Graph, reached: Reached, is_excused: Callable[[Span], bool]) -> Iterable[Run]:
    """One run for each unprotected wire that is nearest to the supply; a wire that a waiver covers is a run of its own.

    A waived wire is passed over: what hangs on it is as unprotected as before.
    """
    heads: dict[int, Run | None] = {}
    supplies: dict[int, int] = {}
    runs: dict[Wire, Run] = {}
    waived: set[Wire] = set()
    for node in reached.order:
        by = reached.by[node]
        if by < 0:
            heads[node], supplies[node] = None, node
        else:
            before, owner = graph.other(by, node), graph.owners[by]
            supplies[node] = supplies[before]
            heads[node] = heads[before]
            if heads[node] is None and isinstance(owner, Wire) and owner not in waived:
                heads[node] = runs[owner]
        for edge in graph.around[node]:
            wire = graph.owners[edge]
            # The wire is met at the end nearer to the supply first.
            if not isinstance(wire, Wire) or wire in runs or graph.other(edge, node) in heads:
                continue
            over = heads[node]
            if is_excused(wire.at):
                waived.add(wire)
            if over is None or wire in waived:
                runs[wire] = Run([wire], supplies[node], node)
            else:
                over.wires.append(wire)
    return runs.values()
