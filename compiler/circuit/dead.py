"""Loads and coils that no current can ever reach, or from which none can return, gathered by what they have in common.

A load works in some state if one side can be fed and the other can return. Both are meant strictly at first: over wires,
contacts, fuses, diodes and module outputs, but over no other load. Where that fails, a way through other loads counts only
if it does not end where it began: two lamps in series work, five lamps on a splice that has lost its ground do not,
although current can run from the one feed through two of them to the other.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import NamedTuple

from compiler.circuit.feeds import Feeds
from compiler.circuit.graph import PLAIN
from compiler.circuit.potentials import JOINED
from compiler.model.items import Behaviour, Device, Part, Wire

_SERIES = frozenset({Behaviour.LOAD, Behaviour.COIL, Behaviour.RESISTOR})
_NEVER = frozenset({Behaviour.BLOCK, Behaviour.SOURCE})
_KEPT = frozenset({Behaviour.PROTECTION})
# Resistors that are a load of their own; any other only stands before one.
_MEASURING = ("sender", "thermistor")
# Kinds whose terminals may be joined inside in ways that the source does not give.
_UNKNOWN_INSIDE = ("component", "sensor", "module", "ring-terminal")
_OPEN_ENDED = "ring-terminal"


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

    region      the potentials that hang together without feed or return, by number; empty when the consumers' own
                terminals are all live (both fed, both grounded, or joined)
    """

    lack: Lack
    region: tuple[int, ...]
    consumers: list[Consumer] = field(default_factory=list)


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
            if suspects:
                self._prepare()
                self.found = self._gather(suspects)

    # -- who is in doubt --------------------------------------------------------------------------------------------
    def _suspects(self) -> list[int]:
        graph, of = self.graph, self.potentials.of
        fed, grounded = self._fed, self._grounded
        tails, heads = graph.tails, graph.heads
        suspects = []
        for edge, behaviour in enumerate(graph.behaviours):
            if behaviour in _SERIES:
                a, b = of[tails[edge]], of[heads[edge]]
                if (a in fed and b in grounded and a != b) or (b in fed and a in grounded and a != b):
                    continue
                if behaviour is Behaviour.RESISTOR:
                    owner = graph.owners[edge]
                    if not isinstance(owner, Part) or owner.kind not in _MEASURING:
                        continue
                suspects.append(edge)
        return suspects

    def _prepare(self) -> None:
        """The regions that are neither fed nor grounded, and the loads on their borders."""
        potentials, feeds, behaviours = self.potentials, self.feeds, self.graph.behaviours
        of, ways = potentials.of, potentials.ways
        self._always_fed = potentials.reach((of[n] for n in feeds.plus), JOINED | _KEPT)
        self._always_grounded = potentials.reach((of[n] for n in feeds.minus), PLAIN | _KEPT)
        self._region = [-1] * len(potentials.members)
        self._regions: list[list[int]] = []
        self._to_feed: list[list[int]] = []
        self._to_ground: list[list[int]] = []
        for start in range(len(potentials.members)):
            if self._region[start] >= 0 or start in self._fed or start in self._grounded:
                continue
            number, own = len(self._regions), [start]
            self._region[start] = number
            to_feed, to_ground = [], []
            for potential in own:  # grows while it runs
                for edge, other, _ in ways[potential]:
                    if behaviours[edge] in _NEVER:
                        continue
                    fed, grounded = other in self._fed, other in self._grounded
                    if fed or grounded:
                        if behaviours[edge] in _SERIES:
                            if fed:
                                to_feed.append(edge)
                            if grounded:
                                to_ground.append(edge)
                    elif self._region[other] < 0:
                        self._region[other] = number
                        own.append(other)
            self._regions.append(own)
            self._to_feed.append(to_feed)
            self._to_ground.append(to_ground)

    # -- what a potential can get, leaving out one load ---------------------------------------------------------------
    def _can_feed(self, potential: int, without: int) -> bool:
        if potential in self._fed:
            return True
        if potential not in self._grounded:
            return any(edge != without for edge in self._to_feed[self._region[potential]])
        return potential not in self._always_grounded and self._through(potential, without, self._fed, self._to_feed)

    def _can_return(self, potential: int, without: int) -> bool:
        if potential in self._grounded:
            return True
        if potential not in self._fed:
            return any(edge != without for edge in self._to_ground[self._region[potential]])
        return potential not in self._always_fed and self._through(
            potential, without, self._grounded, self._to_ground
        )

    def _through(self, potential: int, without: int, goal: object, border: Sequence[Sequence[int]]) -> bool:
        """Whether another load leads from a potential to `goal` (a tell-tale between two lamps that are switched)."""
        behaviours, region = self.graph.behaviours, self._region
        for edge, other, _ in self.potentials.ways[potential]:
            if edge == without or behaviours[edge] not in _SERIES or other == potential:
                continue
            if other in goal if isinstance(goal, dict) else False:
                return True
            if region[other] >= 0 and border[region[other]]:
                return True
        return False

    # -- gathering ------------------------------------------------------------------------------------------------
    def _gather(self, suspects: list[int]) -> tuple[Dead, ...]:
        graph, of = self.graph, self.potentials.of
        found: dict[tuple[Lack, int, int], Dead] = {}
        for edge in suspects:
            a, b = of[graph.tails[edge]], of[graph.heads[edge]]
            judged = self._judged(edge, a, b)
            if judged is None:
                continue
            lack, side = judged
            region = self._region[side] if side >= 0 else -1
            owner = graph.owners[edge]
            assert isinstance(owner, Part)
            key = (lack, region, edge if region < 0 else -1)
            if key not in found:
                found[key] = Dead(lack, tuple(self._regions[region]) if region >= 0 else ())
            device = graph.variant.devices[graph.inside[edge]]
            found[key].consumers.append(Consumer(edge, device, owner, graph.behaviours[edge]))
        return tuple(found.values())

    def _judged(self, edge: int, a: int, b: int) -> tuple[Lack, int] | None:
        """What a load lacks and at which of its potentials (-1: at none of its own); None when it can work, or when that
        cannot be told."""
        if a == b:
            return (Lack.JOINED, -1) if self.potentials.wires[a] else None
        feed_a, feed_b = self._can_feed(a, edge), self._can_feed(b, edge)
        return_a, return_b = self._can_return(a, edge), self._can_return(b, edge)
        if (feed_a and return_b) or (feed_b and return_a):
            return None
        if not feed_a and not feed_b and not return_a and not return_b:
            lack, side = Lack.BOTH, a
        elif not feed_a and not feed_b:
            lack, side = Lack.FEED, b if return_a and a in self._grounded else a
            if side in self._grounded:
                return lack, -1
        else:
            lack, side = Lack.RETURN, b if a in self._fed else a
            if a in self._grounded and a not in self._fed:
                lack = Lack.FEED
            if side in self._fed:
                return lack, -1
        # A terminal that no wire reaches is told of at the terminal.
        if self._is_bare(side) or self._may_conduct(side, lack):
            return None
        return lack, side

    def _is_bare(self, potential: int) -> bool:
        """Whether nothing but a device's own terminal is there."""
        if self.potentials.wires[potential]:
            return False
        devices, connectors = self.graph.variant.devices, self.graph.variant.connectors
        points = self.graph.points
        return all(
            points[node].item in devices or points[node].item in connectors
            for node in self.potentials.members[potential]
        ) and not any(self.graph.behaviours[edge] in JOINED for edge in self._inside_joints(potential))

    def _inside_joints(self, potential: int) -> list[int]:
        graph = self.graph
        return [
            edge
            for node in self.potentials.members[potential]
            for edge in graph.around[node]
            if graph.behaviours[edge] is Behaviour.JOIN
        ]
