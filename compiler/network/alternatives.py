"""Every way on which a feed can reach a place, or a return can leave it, and not only the one of fewest contacts.

What wires, fuses and joints hold together at all times is one island. Switched contacts, one-way parts and resistors
are the gates between islands; few of them lie on any way between a place and the root, so that all ways can be told.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import NamedTuple

from compiler.model.items import Behaviour
from compiler.network.blocks import Blocks
from compiler.network.elements import Sort
from compiler.network.needs import Needs, joined, wanted
from compiler.network.network import Network
from compiler.network.shortest import trail

_ROOT = -1
_MOST = 32  # ways to one island; a vehicle has one or two, seldom ten
_GATES = frozenset({Behaviour.RESISTOR, Behaviour.DIODE, Behaviour.DRIVER})


class _Way(NamedTuple):
    """Gates from the root on, each with whether it is passed from its `a` to its `b`."""

    gates: tuple[tuple[int, bool], ...]
    needs: Needs


class Alternatives:
    """The ways between a root (all that is live, or all that is grounded, at all times) and every other potential.

    ways  branches that current may pass; `shut` potentials that no way passes
    out   whether current runs away from the root: then a diode is passed from its `a`, else from its `b`
    starts  potentials of the sources; a place of the root is reached from the first one that reaches it
    """

    def __init__(
        self,
        network: Network,
        ways: Iterable[int],
        root: frozenset[int],
        shut: frozenset[int],
        starts: Iterable[int],
        *,
        out: bool,
    ) -> None:
        self._network, self._out = network, out
        self._of, self._rows = network.of, network.branches
        of, rows = self._of, self._rows
        self._root = root
        self._above: dict[int, int] = {}
        self._joined: frozenset[int] = frozenset()
        plain: list[tuple[int, int, int]] = []
        gates: list[tuple[int, int, int]] = []
        for number in ways:
            row = rows[number]
            a, b = of[row.a], of[row.b]
            if a in shut or b in shut or a == b:
                continue
            if row.element.when or row.element.sort is Sort.DIODE or row.role in _GATES:
                gates.append((number, a, b))
                continue
            plain.append((number, a, b))
            if a not in root and b not in root:
                self._above[self._island(a)] = self._island(b)
        # An island that a plain row joins to the root is of the root; its places are reached by the same rows.
        edge = (b if a in root else a for _, a, b in plain if (a in root) != (b in root))
        self._joined = frozenset([self._island(node) for node in edge])
        self._around: dict[int, list[tuple[int, int]]] = defaultdict(list)
        for number, a, b in plain:
            self._around[a].append((number, b))
            self._around[b].append((number, a))
        self._source: dict[int, int] = {}
        for start in starts:
            if start in root and start not in self._source:
                self._grow(start, self._source)
        self._plan(gates)
        self._known: dict[int, tuple[_Way, ...]] = {}
        self._trees: dict[int, dict[int, int]] = {}

    def _island(self, node: int) -> int:
        """The island of a potential, by one of its potentials."""
        if node in self._root:
            return _ROOT
        above = self._above
        while (step := above.get(node, node)) != node:
            above[node] = above.get(step, step)
            node = step
        return _ROOT if node in self._joined else node

    def _plan(self, gates: Iterable[tuple[int, int, int]]) -> None:
        """Islands and gates as a graph, and which gates lie on ways from the root."""
        index: dict[int, int] = {_ROOT: 0}
        self._gates: list[tuple[int, int, int]] = []
        for number, a, b in gates:
            ends = [index.setdefault(self._island(node), len(index)) for node in (a, b)]
            if ends[0] != ends[1]:
                self._gates.append((number, ends[0], ends[1]))
        self._index = index
        self._blocks = Blocks([(a, b) for _, a, b in self._gates], len(index), 0)

    def to(self, potential: int) -> tuple[tuple[tuple[int, ...], Needs], ...]:
        """Every way between the root and a potential: its branches, those at the root first, and what must be set for
        its own contacts. The fewest gates first."""
        at = self._island(potential)
        if at == _ROOT:
            return ((self._trail(self._source, potential), {}),) if potential in self._source else ()
        where = self._index.get(at)
        if where is None:
            return ()
        found = ((self._branches(way, potential), way.needs) for way in self._ways(where))
        return tuple((branches, needs) for branches, needs in found if branches)

    def _ways(self, at: int) -> tuple[_Way, ...]:
        """The ways to an island: through the blocks that lie between it and the root."""
        if at == 0:
            return (_Way((), {}),)
        if at not in self._known:
            block = self._blocks.block[at]
            found: list[_Way] = []
            if block >= 0:
                top = self._blocks.top[block]
                inside = self._inside(block, top, at)
                for before in self._ways(top):
                    for after in inside:
                        needs = joined(before.needs, after.needs)
                        if needs is not None:
                            found.append(_Way(before.gates + after.gates, needs))
            found.sort(key=lambda way: len(way.gates))
            self._known[at] = tuple(found[:_MOST])
        return self._known[at]

    def _inside(self, block: int, top: int, at: int) -> list[_Way]:
        """The ways through one block, no island passed twice."""
        around: dict[int, list[tuple[int, int, bool]]] = defaultdict(list)
        for edge in self._blocks.edges[block]:
            number, a, b = self._gates[edge]
            one_way = self._rows[number].element.sort is Sort.DIODE
            # Looked for from the place back to the root.
            if not one_way or self._out:
                around[b].append((number, a, True))
            if not one_way or not self._out:
                around[a].append((number, b, False))
        found: list[_Way] = []
        # In order of the number of gates, so that the shortest are told where there are too many.
        queue: list[tuple[int, tuple[tuple[int, bool], ...], Needs, frozenset[int]]] = [(at, (), {}, frozenset((at,)))]
        for node, gates, needs, passed in queue:  # grows while it runs
            for number, other, forward in around[node]:
                if other in passed or len(found) >= _MOST or len(queue) > _MOST * _MOST:
                    continue
                more = wanted(needs, self._rows[number].element.when)
                if more is None:
                    continue
                so_far = ((number, forward), *gates)
                if other == top:
                    found.append(_Way(so_far, more))
                else:
                    queue.append((other, so_far, more, passed | {other}))
        return found

    def _branches(self, way: _Way, potential: int) -> tuple[int, ...]:
        of, rows = self._of, self._rows
        found: list[int] = []
        at = _ROOT
        for number, forward in way.gates:
            row = rows[number]
            near, far = (of[row.a], of[row.b]) if forward else (of[row.b], of[row.a])
            if at == _ROOT and near not in self._source:
                return ()
            found += self._trail(self._source, near) if at == _ROOT else self._between(at, near)
            found.append(number)
            at = far
        return (*found, *self._between(at, potential))

    def _between(self, start: int, end: int) -> tuple[int, ...]:
        """Plain branches from one place of an island to another."""
        if start not in self._trees:
            self._trees[start] = {}
            self._grow(start, self._trees[start])
        return self._trail(self._trees[start], end)

    def _grow(self, start: int, tree: dict[int, int]) -> None:
        """What plain branches reach from a place, by which of them; the fewest branches first."""
        tree[start] = -1
        queue = [start]
        for node in queue:  # grows while it runs
            for number, other in self._around.get(node, ()):
                if other not in tree:
                    tree[other] = number
                    queue.append(other)

    def _trail(self, tree: dict[int, int], node: int) -> tuple[int, ...]:
        return trail(self._network, tree, node)
