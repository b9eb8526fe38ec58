"""Which switches and relays have a say in a place: those on some way from a source to it, or from it back to the
source."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from functools import cached_property

from compiler.model.items import Behaviour, Point
from compiler.network.blocks import Blocks
from compiler.network.elements import Sort
from compiler.network.network import Branch, Network
from compiler.network.ways import NO_WAY_OHM, WAY, WORK


class Routes:
    """Ways from the sources (feeds) and to them (returns) through everything but loads, all contacts taken as closed.

    plus   potentials that are live at all times: joined to a positive post by wires and fuses
    metal  potentials that are grounded at all times. No feed passes these, and no return passes those.
    """

    def __init__(self, network: Network) -> None:
        self.network = network
        rows = network.branches
        self.plus, self.metal = network.always
        self._ways = [
            number
            for number, row in enumerate(rows)
            if row.role in WAY and row.element.sort is not Sort.SOURCE and row.element.ohm < NO_WAY_OHM
        ]
        self.feed = self._blocks(self.plus, self.metal, self._ways)
        self.back = self._blocks(self.metal, self.plus, self._ways)

    def _blocks(self, roots: frozenset[int], shut: frozenset[int], numbers: list[int]) -> Blocks:
        """Blocks from all roots taken as one node; nodes in `shut` are left out."""
        of, rows = self.network.of, self.network.branches
        root = self.network.size
        ends: list[tuple[int, int]] = []
        for number in numbers:
            a, b = of[rows[number].a], of[rows[number].b]
            if a in shut or b in shut:
                ends.append((root, root))  # a loop at the root is in no block
                continue
            ends.append((root if a in roots else a, root if b in roots else b))
        found = Blocks(ends, root + 1, root)
        found.edges = [[numbers[edge] for edge in edges] for edges in found.edges]
        return found

    def on_the_way(self, node: int) -> frozenset[str]:
        """Subjects (switches, relays, outputs) with a contact on some feed of a node or some return from it."""
        potential = self.network.of[node]
        return self._subjects(True, potential) | self._subjects(False, potential)

    @cached_property
    def _cache(self) -> dict[tuple[bool, int], frozenset[str]]:
        return {}

    def _subjects(self, feed: bool, node: int) -> frozenset[str]:
        if node in (self.plus if feed else self.metal):
            return frozenset()
        blocks = self.feed if feed else self.back
        found: frozenset[str] = frozenset()
        for number in reversed(blocks.chain(node)):
            key = (feed, number)
            if key not in self._cache:
                rows = self.network.branches
                own = {c.subject for edge in blocks.edges[number] for c in rows[edge].element.when}
                self._cache[key] = found | own
            found = self._cache[key]
        return found

    def is_on_a_way(self, node: int) -> bool:
        """Whether a node has a feed or a return that passes no load."""
        potential = self.network.of[node]
        if potential in self.plus or potential in self.metal:
            return True
        return self.feed.reaches(potential) or self.back.reaches(potential)

    # -- relays --------------------------------------------------------------------------------------------------
    @cached_property
    def relies_on(self) -> dict[str, frozenset[str]]:
        """Relay -> relays with a contact on the ways of its coil; all of them where its coil hangs on other loads."""
        moved = frozenset(self.network.moved)
        found: dict[str, set[str]] = {device: set() for device in self.network.moved}
        for device, branch, _, _ in self.network.coils:
            row = self.network.branches[branch]
            for node in (row.a, row.b):
                found[device] |= (self.on_the_way(node) & moved) if self.is_on_a_way(node) else moved
            found[device] |= {c.subject for c in row.element.when}
        return {device: frozenset(on) for device, on in found.items()}

    @cached_property
    def tangled(self) -> frozenset[str]:
        """Relays whose coil hangs, directly or through others, on their own contact: only these can latch, race,
        chatter."""
        relies = self.relies_on
        found = set()
        for device in relies:
            seen: set[str] = set()
            queue = list(relies[device])
            while queue:
                other = queue.pop()
                if other not in seen:
                    seen.add(other)
                    queue += relies.get(other, ())
            if device in seen:
                found.add(device)
        return frozenset(found)

    # -- circuits ------------------------------------------------------------------------------------------------
    def touching(self, nodes: Iterable[int]) -> tuple[str, ...]:
        """Everything that can be set and has a say in these nodes, in the order of the source.

        Switches and relays on the ways from the sources to the nodes and back, those behind them up to the next
        fuse, those
        on the far side of the loads there, and what has a say in the relays among them.
        """
        region = self.region({self.network.of[node] for node in nodes})
        rows, of = self.network.branches, self.network.of
        found: set[str] = set()
        for node in region:
            found |= self.on_the_way(node)
        for row in rows:
            a, b = of[row.a], of[row.b]
            if a in region or b in region:
                found |= {condition.subject for condition in row.element.when}
                if row.role in WORK:
                    found |= self.on_the_way(b if a in region else a)
        queue = [subject for subject in found if subject in self._coil_rows]
        while queue:
            for row in self._coil_rows[queue.pop()]:
                more = (self.on_the_way(row.a) | self.on_the_way(row.b)) - found
                found |= more
                queue += [subject for subject in more if subject in self._coil_rows]
        return tuple(subject for subject in self.network.positions if subject in found)

    def touching_circuit(self, circuit: str) -> tuple[str, ...]:
        """What has a say in a circuit (by id). Empty for one without wires."""
        index = self.network.graph.index
        points = [end.point for wire in self.network.variant.wires_of_circuit(circuit) for end in wire.ends]
        return self.touching(index[point] for point in points if isinstance(point, Point) and point in index)

    @cached_property
    def _coil_rows(self) -> dict[str, list[Branch]]:
        found: dict[str, list[Branch]] = defaultdict(list)
        for device, branch, _, _ in self.network.coils:
            found[device].append(self.network.branches[branch])
        return dict(found)

    @cached_property
    def _around(self) -> dict[int, list[int]]:
        found: dict[int, list[int]] = defaultdict(list)
        of, rows = self.network.of, self.network.branches
        for number in self._ways:
            if rows[number].role is not Behaviour.PROTECTION:
                a, b = of[rows[number].a], of[rows[number].b]
                found[a].append(b)
                found[b].append(a)
        return found

    def region(self, starts: set[int]) -> set[int]:
        """Potentials around the starts, up to fuses, metal, and what is live at all times."""
        seen = starts - self.metal
        queue = list(seen)
        while queue:
            here = queue.pop()
            for other in self._around.get(here, ()):
                # From a switched part the search does not climb into the feed that all switched parts share.
                if other in seen or other in self.metal or (other in self.plus and here not in self.plus):
                    continue
                seen.add(other)
                queue.append(other)
        return seen
