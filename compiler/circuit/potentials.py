"""Potentials: points joined at all times by wires, cavities, buses and traces, taken together.

A search over potentials sees only what can part or turn a circuit (contacts, fuses, loads, diodes, bolted grounds),
which is a fraction of the graph.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Container, Iterable, Sequence
from functools import cached_property
from typing import NamedTuple

from compiler.circuit.graph import ONE_WAY, Graph, table
from compiler.model.items import Behaviour, Wire

JOINED = frozenset({Behaviour.WIRE, Behaviour.CAVITY, Behaviour.JOIN})
_LAST_JOINED = max(JOINED)


class Way(NamedTuple):
    """A stretch out of a potential: its edge, the potential it leads to, whether it leaves at the edge's `a`."""

    edge: int
    to: int
    forward: bool


class Potentials:
    """The potentials of a graph.

    of       node -> number of its potential
    members  potential -> its nodes
    ways     potential -> the stretches that leave it, in the order of the source; one from a potential to itself is
             there once
    """

    def __init__(self, graph: Graph) -> None:
        self.graph = graph
        self.of, self.members = _labelled(graph)
        self.ways: list[list[Way]] = [[] for _ in self.members]
        of, ways, tails, heads = self.of, self.ways, graph.tails, graph.heads
        parting = [number for behaviour, own in graph.sorted_edges.items() if behaviour not in JOINED for number in own]
        for edge in sorted(parting):
            a, b = of[tails[edge]], of[heads[edge]]
            ways[a].append(Way(edge, b, True))
            if a != b:
                ways[b].append(Way(edge, a, False))

    @cached_property
    def wires(self) -> Sequence[Sequence[Wire]]:
        """Potential -> its wires, in the order of the source."""
        graph, of = self.graph, self.of
        found: list[list[Wire]] = [[] for _ in self.members]
        for edge, owner in enumerate(graph.owners):
            if not isinstance(owner, Wire):
                break  # wires have the first numbers
            found[of[graph.tails[edge]]].append(owner)
        return found

    def reach(
        self,
        starts: Iterable[int],
        passes: frozenset[Behaviour],
        *,
        against: bool = False,
        closed: Container[int] = (),
    ) -> dict[int, int]:
        """Potentials reached from `starts` over stretches whose behaviour is in `passes`, breadth first, each with the
        edge by which it was first reached (-1 for a start).

        Diodes and drivers are passed in their direction only; `against` searches towards the source. Potentials in
        `closed` are not entered.
        """
        passed, one_way = table(passes), table(ONE_WAY)
        behaviours, ways = self.graph.behaviours, self.ways
        by = dict.fromkeys(starts, -1)
        queue = deque(by)
        while queue:
            for edge, other, forward in ways[queue.popleft()]:
                if other in by:
                    continue
                behaviour = behaviours[edge]
                if not passed[behaviour] or (one_way[behaviour] and forward is against) or other in closed:
                    continue
                by[other] = edge
                queue.append(other)
        return by


def _labelled(graph: Graph) -> tuple[list[int], list[list[int]]]:
    tails, heads, behaviours, around = graph.tails, graph.heads, graph.behaviours, graph.around
    of = [-1] * len(graph.points)
    members: list[list[int]] = []
    for start in range(len(of)):
        if of[start] >= 0:
            continue
        label = len(members)
        of[start] = label
        own = [start]
        for node in own:  # grows while it runs
            for edge in around[node]:
                if behaviours[edge] <= _LAST_JOINED:
                    other = tails[edge] + heads[edge] - node
                    if of[other] < 0:
                        of[other] = label
                        own.append(other)
        members.append(own)
    return of, members
