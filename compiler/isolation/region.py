"""The part of a network that can have a say in a place: where a fault would have to be to be noticed there.

A fault changes what a place gets if it lies on a way from a source to it or back, if it shorts something behind a fuse
on that way, or if it does so to the coil of a relay with a contact there; and a short before any fuse changes what all
places get (`bare`). `tests/isolation/test_region.py` holds this
against the table of all faults of whole variants.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property

from compiler.model.items import Behaviour
from compiler.network.blocks import Blocks
from compiler.network.elements import Sort
from compiler.network.network import Network
from compiler.network.ways import NO_WAY_OHM, WAY, WORK

_LEADING = frozenset({Behaviour.WIRE, Behaviour.CAVITY, Behaviour.JOIN, Behaviour.PROTECTION})


class Regions:
    """Regions of one network; the searches that they share are done once."""

    def __init__(self, network: Network) -> None:
        self.network = network
        rows, of = network.branches, network.of
        self._around: dict[int, list[int]] = {}
        for number, row in enumerate(rows):
            for potential in {of[row.a], of[row.b]}:
                self._around.setdefault(potential, []).append(number)
        sources = [row for row in rows if row.element.sort is Sort.SOURCE and row.role is Behaviour.SOURCE]
        self._plus = frozenset(of[row.a] for row in sources)
        self._minus = frozenset(of[row.b] for row in sources)
        self._coils: dict[str, list[int]] = {}
        for device, branch, _, _ in network.coils:
            self._coils.setdefault(device, []).append(branch)
        self._ways = [
            number
            for number, row in enumerate(rows)
            if row.role in WAY and row.element.sort is not Sort.SOURCE and row.element.ohm < NO_WAY_OHM
        ]

    @cached_property
    def bare(self) -> tuple[int, ...]:
        """Wires between the sources and the first fuses with a rating, rising: a short there pulls everything down."""
        network = self.network
        rows, of = network.branches, network.of
        seen = set(self._plus - network.always.metal)
        queue = list(seen)
        found: set[int] = set()
        while queue:
            for number in self._around.get(queue.pop(), ()):
                row = rows[number]
                if row.role not in _LEADING or number in network.ratings or row.element.when:
                    continue
                if row.role is Behaviour.WIRE:
                    found.add(number)
                fresh = {of[row.a], of[row.b]} - seen - network.always.metal
                seen |= fresh
                queue += fresh
        return tuple(sorted(found))

    @cached_property
    def _feed(self) -> Blocks:
        _, metal = self.network.always
        return self._blocks(self._plus - metal, metal, self._ways)

    @cached_property
    def _back(self) -> Blocks:
        plus, _ = self.network.always
        grounds = [n for n, row in enumerate(self.network.branches) if row.role is Behaviour.STRUCTURE]
        return self._blocks(self._minus, plus, [*self._ways, *grounds])

    def _blocks(self, roots: frozenset[int], shut: frozenset[int], numbers: list[int]) -> Blocks:
        of, rows, root = self.network.of, self.network.branches, self.network.size
        ends: list[tuple[int, int]] = []
        for number in numbers:
            a, b = of[rows[number].a], of[rows[number].b]
            kept = a not in shut and b not in shut
            ends.append((root if a in roots else a, root if b in roots else b) if kept else (root, root))
        found = Blocks(ends, root + 1, root)
        found.edges = [[numbers[edge] for edge in edges] for edges in found.edges]
        return found

    def region(self, nodes: Iterable[int]) -> tuple[int, ...]:
        """Numbers of the branches that have a say in these nodes, rising."""
        network = self.network
        rows, of = network.branches, network.of
        found: set[int] = set()
        seen: set[int] = set()
        asked: set[str] = set()
        queue = [of[node] for node in nodes]
        while queue:
            start = queue.pop()
            if start in seen:
                continue
            near = network.routes.region({start}) | {start}
            seen |= near if start not in network.always.metal else {start}
            fresh: set[int] = set()
            for potential in near - network.always.metal:
                fresh.update(self._around.get(potential, ()))
            for potential in near:
                fresh.update(self._chain(self._feed, potential))
                fresh.update(self._chain(self._back, potential))
            fresh -= found
            found |= fresh
            for number in fresh:
                row = rows[number]
                if row.role is Behaviour.PROTECTION:
                    queue += [of[row.a], of[row.b]] if number in self._on_feed(near) else []
                elif row.role in WORK:
                    queue += [p for p in (of[row.a], of[row.b]) if self._hangs_on_loads(p)]
                for condition in row.element.when:
                    if condition.subject not in asked:
                        asked.add(condition.subject)
                        for coil in self._coils.get(condition.subject, ()):
                            queue += [of[rows[coil].a], of[rows[coil].b]]
        return tuple(sorted(found))

    def _chain(self, blocks: Blocks, potential: int) -> list[int]:
        if not blocks.reaches(potential) or potential == blocks.root:
            return []
        return [edge for block in blocks.chain(potential) for edge in blocks.edges[block]]

    def _on_feed(self, near: set[int]) -> set[int]:
        return {edge for potential in near for edge in self._chain(self._feed, potential)}

    def _hangs_on_loads(self, potential: int) -> bool:
        """Whether a node is joined to sources and ground through loads alone: then these are its ways."""
        return not self._feed.reaches(potential) and not self._back.reaches(potential) and potential not in self._minus
