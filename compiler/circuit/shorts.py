"""Supplies joined to ground by wires alone, before or behind a fuse: what burns or blows as soon as it is connected."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from compiler.circuit.feeds import Feeds
from compiler.circuit.potentials import JOINED
from compiler.model.items import Behaviour, Wire

_LOADS = frozenset({Behaviour.LOAD, Behaviour.COIL, Behaviour.RESISTOR})
_FEEDS = frozenset({Behaviour.CONTACT, Behaviour.PROTECTION})


class Short(NamedTuple):
    """One potential that is supply and ground at once.

    hot    nodes at which the supply comes in: battery terminals, load sides of fuses
    cold   nodes at which it leaves, the nearest first: grounds, cases, the battery's negative terminal
    wires  wires on the shortest way from one to the other
    worst  the one of them that joins what is fed to what is grounded; None when there is no wire on the way
    """

    hot: tuple[int, ...]
    cold: tuple[int, ...]
    wires: tuple[Wire, ...]
    worst: Wire | None


def shorts(feeds: Feeds) -> Iterator[Short]:
    """Every potential that is always fed and always grounded, in the order of the graph. Contacts count as open."""
    return _Shorts(feeds).found()


class _Shorts:
    def __init__(self, feeds: Feeds) -> None:
        self.feeds = feeds
        self.graph = feeds.graph
        self.potentials = feeds.potentials

    def found(self) -> Iterator[Short]:
        for potential in sorted(self.feeds.shorted):
            hot, cold = self._hot(potential), self._cold(potential)
            if hot and cold:
                reached = self.graph.flood(hot, JOINED)
                cold.sort(key=reached.order.index)
                path = self.graph.path(reached, cold[0])
                wires = tuple(owner for edge in path if isinstance(owner := self.graph.owners[edge], Wire))
                yield Short(tuple(hot), tuple(cold), wires, self._worst(path, hot, set(cold), potential))

    def _hot(self, potential: int) -> list[int]:
        graph, feeds = self.graph, self.feeds
        grounded = feeds.always_grounded
        hot = [node for node in feeds.plus if self.potentials.of[node] == potential]
        for edge, other, forward in self.potentials.ways[potential]:
            if graph.behaviours[edge] is Behaviour.PROTECTION and other in feeds.live and other not in grounded:
                hot.append(graph.tails[edge] if forward else graph.heads[edge])
        return hot

    def _cold(self, potential: int) -> list[int]:
        graph, minus = self.graph, self.feeds.ground_terminals
        return [
            node
            for node in self.potentials.members[potential]
            if node in minus or any(graph.behaviours[e] is Behaviour.STRUCTURE for e in graph.around[node])
        ]

    def _worst(self, path: list[int], hot: list[int], cold: set[int], potential: int) -> Wire | None:
        """The wire of the path that parts supply from ground so that most things stand on their own side.

        Of wires that part them equally well it is the one nearest to ground; where none parts them, the last one.
        """
        graph = self.graph
        leaning = {node: self._leaning(node) for node in self.potentials.members[potential]}
        best: tuple[int, Wire] | None = None
        last: Wire | None = None
        for edge in path:
            owner = graph.owners[edge]
            if not isinstance(owner, Wire):
                continue
            last = owner
            fed_side = self._without(edge, hot)
            if fed_side & cold:
                continue
            score = sum(leans if node in fed_side else -leans for node, leans in leaning.items())
            if best is None or score >= best[0]:
                best = score, owner
        return best[1] if best else last

    def _without(self, cut: int, hot: list[int]) -> set[int]:
        graph = self.graph
        reached = set(hot)
        order = list(hot)
        for node in order:  # grows while it runs
            for edge in graph.around[node]:
                other = graph.other(edge, node)
                if edge != cut and other not in reached and graph.behaviours[edge] in JOINED:
                    reached.add(other)
                    order.append(other)
        return reached

    def _leaning(self, node: int) -> int:
        """1 for a node that belongs to the fed side, -1 for one of the grounded side, 0 for one of neither."""
        graph, of = self.graph, self.potentials.of
        for edge in graph.around[node]:
            behaviour = graph.behaviours[edge]
            if behaviour is Behaviour.STRUCTURE or node in self.feeds.ground_terminals:
                return -1
            if behaviour in _FEEDS:
                return 1
            other = of[graph.other(edge, node)]
            if behaviour in _LOADS and other != of[node]:
                if other in self.feeds.fed_by:
                    return -1
                return 1 if other in self.feeds.always_grounded else 0
        return 0
