"""What a supply reaches, what reaches ground, and which wires a fuse protects: searches that several checks share.

All contacts count as closed: a search over the graph says what *can* conduct in some state. What does conduct in one
state is a matter of the solved network.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from compiler.circuit.graph import FEEDING, Edge, Graph, Reached
from compiler.model.items import Behaviour, Device, Part, Wire

# A supply is followed over everything that lets current on, but not into the vehicle's metal: that is the return.
_FEED = FEEDING - {Behaviour.STRUCTURE}
_FEED_FUSED = _FEED | {Behaviour.PROTECTION}
_RETURN = FEEDING | {Behaviour.PROTECTION}
_ALWAYS = frozenset({Behaviour.WIRE, Behaviour.CAVITY, Behaviour.JOIN})


@dataclass(frozen=True, slots=True, eq=False)
class Protection:
    """A fuse, breaker or fusible link in the graph, with its feed and load nodes as the circuit runs.

    own     nodes joined to its load side at all times (no contact between)
    wires   wires it protects: those at its own nodes, and those beyond contacts that no other device protects
    """

    device: Device
    part: Part
    edge: int
    feed: int
    load: int
    own: Reached
    wires: tuple[Wire, ...]


class Feeds:
    """Searches over one graph, each done once and only when asked for."""

    def __init__(self, graph: Graph) -> None:
        self.graph = graph
        self.plus, self.minus = graph.sources()

    @property
    def has_source(self) -> bool:
        """Whether there is a battery or alternator at all; without one nothing can be said of feeds."""
        return bool(self.plus)

    @cached_property
    def fed(self) -> Reached:
        """What a supply can reach, fused or not."""
        return self.graph.flood(self.plus, _FEED_FUSED)

    @cached_property
    def unprotected(self) -> Reached:
        """What a supply can reach without passing a fuse, breaker or fusible link."""
        return self.graph.flood(self.plus, _FEED)

    @cached_property
    def grounded(self) -> Reached:
        """What can return to a supply's negative terminal without passing a load."""
        return self.graph.flood(self.minus, _RETURN, against=True)

    @cached_property
    def protections(self) -> tuple[Protection, ...]:
        """Every protective device, in the order of the source."""
        graph, fed = self.graph, self.fed.by
        found: list[tuple[int, Edge, int, int, Reached]] = []
        owners: dict[int, set[int]] = {}
        for number, edge in enumerate(graph.edges):
            if edge.behaviour is not Behaviour.PROTECTION:
                continue
            # The author may have wired it the other way round: current tells which side is the feed.
            feed, load = (edge.b, edge.a) if fed.get(edge.a) == number else (edge.a, edge.b)
            own = graph.flood([load], _ALWAYS)
            found.append((number, edge, feed, load, own))
            for node in own.order:
                owners.setdefault(node, set()).add(number)
        return tuple(self._protection(*entry, owners) for entry in found)

    def _protection(
        self, number: int, edge: Edge, feed: int, load: int, own: Reached, owners: dict[int, set[int]]
    ) -> Protection:
        graph = self.graph

        def foreign(other: Edge) -> bool:
            # Beyond a contact, what another device protects is that device's affair.
            return any(owners.get(node, set()) - {number} for node in (other.a, other.b) if node not in own.by)

        beyond = graph.flood([load], _FEED, skip=foreign)
        wires: dict[Wire, None] = {}
        for node in beyond.order:
            for index in graph.around[node]:
                found = graph.edges[index]
                if isinstance(found.owner, Wire) and found.a in beyond.by and found.b in beyond.by:
                    wires[found.owner] = None
        device = graph.variant.devices[edge.device]
        assert isinstance(edge.owner, Part)
        return Protection(device, edge.owner, number, feed, load, own, tuple(wires))
