"""Potentials: points joined at all times by wires, cavities, buses and traces, taken together.

A search over potentials sees only what can part or turn a circuit (contacts, fuses, loads, diodes, bolted grounds),
which is a fraction of the graph.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Container, Iterable, Mapping, Sequence
from functools import cached_property
from typing import NamedTuple

from compiler.circuit.graph import ONE_WAY, Graph, table
from compiler.model.items import Behaviour, Part, Wire

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

    @cached_property
    def rivals(self) -> Mapping[int, frozenset[int]]:
        """Contact -> contacts of the same device that are never closed together with it."""
        graph = self.graph
        by_device: dict[str, list[tuple[int, frozenset[str]]]] = {}
        for edge in graph.sorted_edges[Behaviour.CONTACT]:
            part = graph.owners[edge]
            if isinstance(part, Part) and part.when:
                by_device.setdefault(graph.inside[edge], []).append((edge, frozenset(part.when)))
        found = {}
        for own in by_device.values():
            for edge, when in own if len(own) > 1 else ():
                apart = frozenset(other for other, others_when in own if not when & others_when)
                if apart:
                    found[edge] = apart
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
        `closed` are not entered. Contacts count as closed, but the search does not turn from one contact of a device
        into another that is never closed at the same time: a changeover contact joins its common to one side or the
        other, not the two sides.
        """
        by = dict.fromkeys(starts, -1)
        beginning = frozenset(by)
        # Ways out of a potential that the contact by which it was reached rules out, until it is reached by another;
        # by what else one is reached that has not been left yet; what is reached without passing one.
        held: dict[int, list[Way]] = {}
        further: dict[int, list[int]] = {}
        apart: dict[int, dict[int, int]] = {}
        queue: deque[tuple[int, int, Sequence[Way]]] = deque((start, -1, self.ways[start]) for start in by)
        expanded: set[int] = set()
        moves = self._moves(passes, against, closed)
        while queue:
            potential, arrival, leaving = queue.popleft()
            ruled_out: frozenset[int] = self.rivals.get(arrival, frozenset())
            for edge in further.pop(potential, ()) if ruled_out else ():
                ruled_out &= self.rivals.get(edge, frozenset())
            expanded.add(potential)
            for way in leaving:
                edge, other, _ = way
                if not moves(way):
                    continue
                if edge in ruled_out:
                    held.setdefault(potential, []).append(way)
                elif other not in by:
                    by[other] = edge
                    queue.append((other, edge, self.ways[other]))
                elif other not in expanded:
                    further.setdefault(other, []).append(edge)
                elif other in held:
                    if other not in apart:
                        apart[other] = self._plain(beginning, moves, other)
                    if potential in beginning or self._is_entered(potential, way, apart[other], moves):
                        queue.append((other, edge, held.pop(other)))
        return by

    def _moves(self, passes: frozenset[Behaviour], against: bool, closed: Container[int]) -> Callable[[Way], bool]:
        passed, one_way, behaviours = table(passes), table(ONE_WAY), self.graph.behaviours

        def moves(way: Way) -> bool:
            behaviour = behaviours[way[0]]
            return passed[behaviour] and not (one_way[behaviour] and way[2] is against) and way[1] not in closed

        return moves

    def _is_entered(self, potential: int, leaving: Way, reached: Container[int], moves: Callable[[Way], bool]) -> bool:
        """Whether some stretch leads into a potential from what is reached, after which it may be left by `leaving`."""
        apart = self.rivals.get(leaving.edge, frozenset())
        return any(
            edge != leaving.edge
            and edge not in apart
            and before in reached
            and moves(Way(edge, potential, not forward))
            for edge, before, forward in self.ways[potential]
        )

    def _plain(self, starts: Iterable[int], moves: Callable[[Way], bool], without: int) -> dict[int, int]:
        """What is reached without entering one potential, whatever contacts the way turns through."""
        by = {start: -1 for start in starts if start != without}
        order = list(by)
        for potential in order:  # grows while it runs
            for way in self.ways[potential]:
                if way[1] != without and way[1] not in by and moves(way):
                    by[way[1]] = way[0]
                    order.append(way[1])
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
