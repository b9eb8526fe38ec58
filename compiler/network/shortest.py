"""The ways of fewest contacts from some potentials to all that current reaches from them."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Mapping

from compiler.network.elements import Sort
from compiler.network.network import Network


class Shortest:
    """The ways of fewest contacts from some potentials: by which branch each potential was reached."""

    def __init__(
        self, network: Network, roots: Iterable[int], shut: frozenset[int], ways: list[int], feed: bool
    ) -> None:
        of, rows = network.of, network.branches
        around: dict[int, list[tuple[int, int, bool]]] = defaultdict(list)
        for number in ways:
            row = rows[number]
            a, b, switched = of[row.a], of[row.b], bool(row.element.when)
            one_way = row.element.sort is Sort.DIODE
            if not one_way or feed:
                around[a].append((number, b, switched))
            if not one_way or not feed:
                around[b].append((number, a, switched))
        self.by: dict[int, int] = {}
        self.cost: dict[int, int] = {}
        self._network = network
        queue = deque((0, root, -1) for root in sorted(roots))
        while queue:
            cost, node, by = queue.popleft()
            if node in self.by:
                continue
            self.by[node], self.cost[node] = by, cost
            if node in shut:
                continue
            for number, other, switched in around.get(node, ()):
                if other in self.by or other in shut:
                    continue
                # A deque served from both ends keeps the queue in order of cost: contacts count 1, all else nothing.
                (queue.append if switched else queue.appendleft)((cost + switched, other, number))

    def trail(self, node: int) -> tuple[int, ...]:
        """Branches from a root to a potential."""
        return trail(self._network, self.by, node)


def trail(network: Network, by: Mapping[int, int], node: int) -> tuple[int, ...]:
    """Branches from a root to a potential, where `by` has the branch by which each was reached; -1 for a root."""
    found: list[int] = []
    while (number := by[node]) >= 0:
        found.append(number)
        row = network.branches[number]
        node = network.of[row.a] + network.of[row.b] - node
    return tuple(reversed(found))
