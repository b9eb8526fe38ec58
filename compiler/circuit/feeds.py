"""What a supply reaches, what reaches ground, and which wires a fuse protects: searches that several checks share.

All contacts count as closed: a search over the graph says what *can* conduct in some state. What does conduct in one
state is a matter of the solved network.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from compiler.circuit.graph import FEEDING, PLAIN, Graph, Owner, Reached
from compiler.circuit.potentials import JOINED, Potentials
from compiler.model.items import Behaviour, Device, Part, Wire

# Strict ways: no load, coil or resistor between. A feed does not run into the vehicle's metal: that is the return.
_PASSING = frozenset({Behaviour.CONTACT, Behaviour.DIODE, Behaviour.DRIVER, Behaviour.PROTECTION})
_FED = _PASSING | JOINED
_GROUNDED = _PASSING | PLAIN
# A module's output is limited by the module; metal is the return.
_UNPROTECTED = JOINED | {Behaviour.CONTACT, Behaviour.DIODE, Behaviour.RESISTOR}
_BEYOND = FEEDING - {Behaviour.STRUCTURE}


@dataclass(frozen=True, slots=True, eq=False)
class Protection:
    """A fuse, breaker or fusible link in the graph, with its feed and load nodes as the circuit runs.

    edge    its number in the graph
    wires   everything it feeds: wires at its load side, then those beyond contacts, diodes, resistors and module
            outputs that no other protective device stands in front of
    """

    device: Device
    part: Part
    edge: int
    feed: int
    load: int
    wires: tuple[Wire, ...]
    graph: Graph

    @property
    def own(self) -> Reached:
        """Nodes joined to its load side at all times (no contact between)."""
        return self.graph.flood([self.load], JOINED)


class Feeds:
    """Searches over one graph, each done once and only when asked for.

    The supply is the batteries; alternators count only where there is no battery. An alternator charges through the
    cable that the battery's own link protects, and its own current is limited.
    """

    def __init__(self, graph: Graph) -> None:
        self.graph = graph
        self.plus, self.minus, self.alternators = _sources(graph)

    @property
    def has_source(self) -> bool:
        """Whether there is a battery or alternator at all; without one nothing can be said of feeds."""
        return bool(self.plus)

    @cached_property
    def potentials(self) -> Potentials:
        return Potentials(self.graph)

    # -- by potential: number of a potential -> the edge by which it is reached, -1 at the supply itself ---------------
    @cached_property
    def always_grounded(self) -> Mapping[int, int]:
        """Potentials joined to the supply's negative terminal by wires and metal alone."""
        of = self.potentials.of
        return self.potentials.reach((of[node] for node in self.ground_terminals), PLAIN)

    @cached_property
    def live(self) -> Mapping[int, int]:
        """Potentials joined to the supply by wires and protective devices alone, up to the first that is grounded."""
        potentials, behaviours, grounded = self.potentials, self.graph.behaviours, self.always_grounded
        by = {potentials.of[node]: -1 for node in self.plus}
        order = list(by)
        for potential in order:  # grows while it runs
            for edge, other, _ in potentials.ways[potential] if potential not in grounded else ():
                if other not in by and behaviours[edge] is Behaviour.PROTECTION:
                    by[other] = edge
                    order.append(other)
        return by

    @cached_property
    def always_fed(self) -> Mapping[int, int]:
        """Potentials joined to the supply by wires and protective devices alone, and not to ground."""
        return {potential: edge for potential, edge in self.live.items() if potential not in self.always_grounded}

    @cached_property
    def shorted(self) -> Mapping[int, int]:
        """Potentials that are supply and ground at once, with no contact and no load on either way."""
        return {potential: edge for potential, edge in self.live.items() if potential in self.always_grounded}

    @cached_property
    def ground_terminals(self) -> tuple[int, ...]:
        """The supply's negative terminals that are ground: where batteries stand in series, only the last one's."""
        of = self.potentials.of
        return tuple(
            minus
            for own, minus in zip(self.plus, self.minus, strict=True)
            if not any(of[plus] == of[minus] for plus in self.plus if plus != own)
        )

    @cached_property
    def fed_by(self) -> Mapping[int, int]:
        """Potentials that a supply can reach over no load, coil or resistor."""
        of = self.potentials.of
        closed = self.always_grounded.keys() - self.shorted.keys()
        return self.potentials.reach((of[node] for node in self.plus), _FED, closed=closed)

    @cached_property
    def grounded_by(self) -> Mapping[int, int]:
        """Potentials that can return to the supply over no load, coil or resistor."""
        of = self.potentials.of
        starts = (of[node] for node in self.minus)
        return self.potentials.reach(starts, _GROUNDED, against=True, closed=self.always_fed)

    # -- by node --------------------------------------------------------------------------------------------------
    @cached_property
    def grounded(self) -> Reached:
        """As `grounded_by`, node by node, for a path."""
        return self.graph.flood(self.minus, _GROUNDED, against=True, within=self._nodes(self.grounded_by))

    @cached_property
    def unprotected(self) -> Reached:
        """Nodes that a supply can reach without passing a fuse, breaker or fusible link."""
        return self.unprotected_but(())

    def unprotected_but(self, wires: Collection[Owner]) -> Reached:
        """As `unprotected`, without passing some wires."""
        starts = (self.potentials.of[node] for node in self.plus)
        reached = self.potentials.reach(starts, _UNPROTECTED, closed=self.always_grounded)
        skip = (lambda edge: edge.owner in wires) if wires else None
        return self.graph.flood(self.plus, _UNPROTECTED, within=self._nodes(reached), skip=skip)

    def _nodes(self, potentials: Iterable[int]) -> set[int]:
        return {node for potential in potentials for node in self.potentials.members[potential]}

    # -- protective devices ---------------------------------------------------------------------------------------
    @cached_property
    def protections(self) -> tuple[Protection, ...]:
        """Every protective device, in the order of the source."""
        graph, of, fed = self.graph, self.potentials.of, self.fed_by
        found: list[tuple[int, int, int]] = []
        guards: dict[int, int] = {}
        for edge in graph.sorted_edges[Behaviour.PROTECTION]:
            feed, load = graph.tails[edge], graph.heads[edge]
            # The author may have wired it the other way round: current tells which side is the feed. Not so where it
            # sits on a bus: then its feed side is said, and current from behind is a fault.
            if not graph.variant.devices[graph.inside[edge]].bus and fed.get(of[feed]) == edge:
                feed, load = load, feed
            found.append((edge, feed, load))
            guards[of[load]] = guards.get(of[load], 0) + 1
        unprotected = {of[node] for node in self.unprotected.order} if self.has_source else set()
        closed = guards.keys() | unprotected | self.always_grounded.keys()
        return tuple(self._protection(*entry, closed) for entry in found)

    def _protection(self, edge: int, feed: int, load: int, closed: set[int]) -> Protection:
        graph, potentials = self.graph, self.potentials
        # Beyond a contact, what another device protects is that device's affair.
        beyond = potentials.reach([potentials.of[load]], _BEYOND, closed=closed)
        wires: dict[Wire, None] = {}
        for potential in beyond:
            wires.update(dict.fromkeys(potentials.wires[potential]))
        part = graph.owners[edge]
        assert isinstance(part, Part)
        return Protection(graph.variant.devices[graph.inside[edge]], part, edge, feed, load, tuple(wires), graph)


def _sources(graph: Graph) -> tuple[list[int], list[int], list[int]]:
    """Positive and negative nodes of the supply, and edges of the alternators beside a battery."""
    batteries: list[int] = []
    alternators: list[int] = []
    for edge in graph.sorted_edges[Behaviour.SOURCE]:
        owner = graph.owners[edge]
        assert isinstance(owner, Part)
        (batteries if owner.kind == "battery" else alternators).append(edge)
    supply = batteries or alternators
    return (
        [graph.tails[edge] for edge in supply],
        [graph.heads[edge] for edge in supply],
        alternators if batteries else [],
    )
