"""Loads and coils that no current can reach, or from which none can return, gathered by what they have in common.

A load works in some state if one side can be fed and the other can return. Both are meant strictly at first: over
wires, contacts, fuses, diodes and module outputs, but over no other load. Where that fails, a way through other loads
counts only if it does not end where it began: two lamps in series work, five lamps on a splice that has lost its
ground do not, although current can run from one feed through two of them to another feed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from functools import cached_property
from typing import NamedTuple

from compiler.circuit.feeds import Feeds
from compiler.circuit.regions import SERIES, Regions, entries
from compiler.model.items import Behaviour, Device, Part, Point

# Resistors that are a load of their own; any other only stands before one.
_MEASURING = ("sender", "thermistor")
# Kinds whose terminals may be joined inside in ways that the source does not give.
_UNKNOWN_INSIDE = ("component", "sensor", "module", "ring-terminal")
_OPEN_ENDED = "ring-terminal"
_OUTSIDE = frozenset({Behaviour.WIRE, Behaviour.CAVITY})


class Lack(Enum):
    """What a load is without. JOINED: both its terminals are one potential."""

    FEED = "feed"
    RETURN = "return"
    BOTH = "both"
    JOINED = "joined"


class Consumer(NamedTuple):
    """A load, coil or measuring resistor: its edge, the device it is in, the part."""

    edge: int
    device: Device
    part: Part
    behaviour: Behaviour


@dataclass(slots=True, eq=False)
class Dead:
    """Consumers that lack the same thing for the same cause.

    region      the potentials without feed or return at the consumers' terminals, and what hangs together with them
                over contacts and fuses; empty when the consumers' own terminals are all live (both fed, both
                grounded, or joined)
    """

    lack: Lack
    region: list[int]
    consumers: list[Consumer]
    islands: list[int] = field(default_factory=list)


class DeadCircuits:
    """The search, over one set of feeds. Meaningless without a supply: `found` is empty then."""

    def __init__(self, feeds: Feeds) -> None:
        self.feeds = feeds
        self.graph = feeds.graph
        self.potentials = feeds.potentials
        self.found: tuple[Dead, ...] = ()
        if feeds.has_source:
            self._fed, self._grounded = feeds.fed_by, feeds.grounded_by
            suspects = self._suspects()
            of, heads = self.potentials.of, self.graph.heads
            adrift = [edge for edge in feeds.alternators if of[heads[edge]] not in self._grounded]
            if suspects or adrift:
                self._regions = Regions(self.potentials, self._fed, self._grounded)
                self._settled: dict[tuple[int, Lack], bool] = {}
                self.found = self._gather(suspects, adrift)

    # -- who is in doubt --------------------------------------------------------------------------------------------
    def _suspects(self) -> list[int]:
        graph, of = self.graph, self.potentials.of
        fed, grounded = self._fed, self._grounded
        tails, heads, sorted_edges = graph.tails, graph.heads, graph.sorted_edges
        measuring = (
            edge
            for edge in sorted_edges[Behaviour.RESISTOR]
            if isinstance(owner := graph.owners[edge], Part) and owner.kind in _MEASURING
        )
        suspects = []
        for edge in (*sorted_edges[Behaviour.LOAD], *sorted_edges[Behaviour.COIL], *measuring):
            a, b = of[tails[edge]], of[heads[edge]]
            if a == b or not ((a in fed and b in grounded) or (b in fed and a in grounded)):
                suspects.append(edge)
        return sorted(suspects)

    # -- what a potential can get, leaving out one load ---------------------------------------------------------------
    def _can_feed(self, potential: int, without: int) -> bool:
        if potential in self._fed:
            return True
        if potential not in self._grounded:
            return any(edge != without for edge in self._regions.border_of(potential).to_feed)
        if potential in self.feeds.always_grounded:
            return False
        return self._through(potential, without, self._fed)

    def _can_return(self, potential: int, without: int) -> bool:
        if potential in self._grounded:
            return True
        if potential not in self._fed:
            return any(edge != without for edge in self._regions.border_of(potential).to_ground)
        if potential in self.feeds.always_fed:
            return False
        return self._through(potential, without, self._grounded)

    def _through(self, potential: int, without: int, goal: Mapping[int, int]) -> bool:
        """Whether another load leads from a potential to `goal` (a tell-tale between two lamps that are switched)."""
        behaviours, regions = self.graph.behaviours, self._regions
        for edge, other, _ in self.potentials.ways[potential]:
            if edge == without or behaviours[edge] not in SERIES or other == potential:
                continue
            if other in goal:
                return True
            if regions.island[other] >= 0:
                border = regions.border_of(other)
                if border.to_feed if goal is self._fed else border.to_ground:
                    return True
        return False

    def _is_way(self, live: int, back: int) -> bool:
        """Whether what feeds `live` and what `back` returns through can be parts of one way.

        A side fed through another load is no feed for one that is fed itself, nor does a side that is grounded return
        through one that is not: that is how lamps glow which have lost their ground.
        """
        if live not in self._fed and back in self._fed:
            return False
        return back in self._grounded or live not in self._grounded

    # -- gathering ------------------------------------------------------------------------------------------------
    def _gather(self, suspects: list[int], adrift: list[int]) -> tuple[Dead, ...]:
        graph, of = self.graph, self.potentials.of
        found: dict[tuple[Lack, int, str], Dead] = {}
        judged = [(edge, self._judged(edge, of[graph.tails[edge]], of[graph.heads[edge]])) for edge in suspects]
        judged += [(edge, self._of_alternator(of[graph.heads[edge]])) for edge in adrift]
        for edge, verdict in judged:
            if verdict is None:
                continue
            lack, side = verdict
            island = self._regions.island[side] if side >= 0 else -1
            region = self._regions.region[island] if side >= 0 else -1
            owner = graph.owners[edge]
            assert isinstance(owner, Part)
            dead = found.setdefault((lack, region, graph.inside[edge] if region < 0 else ""), Dead(lack, [], []))
            if island >= 0 and island not in dead.islands:
                dead.islands.append(island)
                dead.region.extend(self._regions.islands[island])
            device = graph.variant.devices[graph.inside[edge]]
            dead.consumers.append(Consumer(edge, device, owner, graph.behaviours[edge]))
        return tuple(found.values())

    def _judged(self, edge: int, a: int, b: int) -> tuple[Lack, int] | None:
        """What a load lacks and at which of its potentials (-1: both its own are live); None when it can work, and when
        that cannot be told or is told elsewhere."""
        if a in self.feeds.shorted or b in self.feeds.shorted:
            return None  # it is the short between supply and ground that is told of
        if a == b:
            return (Lack.JOINED, -1) if self.potentials.wires[a] else None
        feed_a, feed_b = self._can_feed(a, edge), self._can_feed(b, edge)
        return_a, return_b = self._can_return(a, edge), self._can_return(b, edge)
        fed, grounded = self._fed, self._grounded
        if (feed_a and return_b and self._is_way(a, b)) or (feed_b and return_a and self._is_way(b, a)):
            return None
        if not (feed_a or feed_b):
            lack = Lack.FEED if return_a or return_b else Lack.BOTH
            sides = [side for side in (a, b) if side not in grounded]
        elif not (return_a or return_b):
            lack = Lack.RETURN
            sides = [side for side in (b, a) if side not in fed]
        else:
            # One terminal can be fed and can return, the other can do neither.
            live, side = (a, b) if feed_a else (b, a)
            lack = Lack.FEED if live in grounded and live not in fed else Lack.RETURN
            sides = [side]
        if not sides:
            sides = [side for end in (b, a) if (side := self._cut_off(end)) >= 0]
        if not sides:
            return lack, -1
        islands = [self._regions.island[side] for side in sides]
        if any(self._is_settled(island, lack) for island in islands if island >= 0):
            return None
        return lack, sides[0]

    def _cut_off(self, potential: int) -> int:
        """A potential without feed or return to which a contact joins one that has either, or -1.

        A motor between two changeover contacts is fed at both terminals by turns; what it lacks is the ground of its
        switch.
        """
        behaviours, seen = self.graph.behaviours, [potential]
        for near in seen:  # grows while it runs
            if near in self.feeds.always_fed or near in self.feeds.always_grounded:
                continue
            for edge, other, _ in self.potentials.ways[near]:
                if behaviours[edge] is not Behaviour.CONTACT or other in seen:
                    continue
                if self._regions.island[other] >= 0:
                    return other
                seen.append(other)
        return -1

    def _of_alternator(self, minus: int) -> tuple[Lack, int] | None:
        """An alternator that does not return to the battery charges nothing."""
        island = self._regions.island[minus]
        return None if island < 0 or self._is_settled(island, Lack.RETURN) else (Lack.RETURN, minus)

    def _is_settled(self, island: int, lack: Lack) -> bool:
        """Whether nothing can be said of an island, or its fault is told elsewhere; worked out once."""
        key = (island, lack)
        found = self._settled.get(key)
        if found is None:
            found = self._settled[key] = self._is_bare(island) or self._may_conduct(island, lack)
        return found

    def _is_bare(self, island: int) -> bool:
        """Whether there is nothing but terminals that no wire reaches: that is told of at the terminals."""
        variant, points = self.graph.variant, self.graph.points
        for potential in self._regions.islands[island]:
            if self.potentials.wires[potential]:
                return False
            for node in self.potentials.members[potential]:
                if points[node].item not in variant.devices and points[node].item not in variant.connectors:
                    return False
        return True

    def _may_conduct(self, island: int, lack: Lack) -> bool:
        """Whether the sources leave open that an island is fed or grounded: an end that is not known or stands for
        nothing, or a component with insides that are not given and another terminal that is."""
        goal = self._grounded if lack is Lack.RETURN else self._fed
        both = lack is Lack.BOTH
        points, of = self.graph.points, self.potentials.of
        own = self._regions.islands[island]
        for potential in own if lack is Lack.RETURN else entries(self.potentials, own):
            for node in self.potentials.members[potential]:
                if node in self._open_ends:
                    return True
                device = self.graph.variant.devices.get(points[node].item)
                if device is None or not self._is_unknown(device, node):
                    continue
                if device.kind == _OPEN_ENDED:
                    return True
                for terminal in device.terminals:
                    other = of[self.graph.index[Point(device.id, terminal)]]
                    if other in goal or (both and other in self._grounded):
                        return True
        return False

    def _is_unknown(self, device: Device, node: int) -> bool:
        """Whether what stands behind a device's terminal is not given."""
        behaviours = self.graph.behaviours
        if any(behaviours[edge] not in _OUTSIDE for edge in self.graph.around[node]):
            return False
        return device.kind in _UNKNOWN_INSIDE or not any(part.stretches for part in device.parts)

    @cached_property
    def _open_ends(self) -> set[int]:
        """Nodes at which a wire ends whose other end is not known or stands for nothing."""
        found = set()
        for wire in self.graph.variant.wires:
            a, b = wire.a.point, wire.b.point
            if (a is None) != (b is None):
                node = self.graph.index.get(a or b)  # type: ignore[arg-type]
                if node is not None:
                    found.add(node)
        return found
