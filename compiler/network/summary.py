"""Load summaries for the pack, and what is live in a state: figures that charts and sheets lay out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from compiler.model.items import Behaviour, Connector, Device
from compiler.network.flows import Consumer, Flows


@dataclass(frozen=True, slots=True)
class Load:
    """What can flow at one time, A, and through which loads; `assumed` when the rating of one of them is not given."""

    amperes: float
    consumers: tuple[Consumer, ...]
    assumed: bool


@dataclass(frozen=True, slots=True)
class FuseLoad:
    """The load of one protective device. `rating_a` and `margin_a` are None where no rating is given.

    feeds_fuses  whether other protective devices hang on it: then the load is of everything behind it at one time
    """

    device: Device
    rating_a: float | None
    load: Load
    feeds_fuses: bool

    @property
    def margin_a(self) -> float | None:
        return None if self.rating_a is None else self.rating_a - self.load.amperes


def fuse_loads(flows: Flows) -> tuple[FuseLoad, ...]:
    """The greatest load of every fuse, breaker and fusible link, in the order of the source."""
    network = flows.network
    behind: dict[int, list[Consumer]] = defaultdict(list)
    above: set[int] = set()
    for consumer in flows.ways:
        for number in consumer.feed:
            if network.branches[number].role is Behaviour.PROTECTION:
                behind[number].append(consumer)
                if number != consumer.fuse:
                    above.add(number)
    return tuple(
        FuseLoad(
            network.variant.devices[row.device],
            network.ratings.get(number),
            load_of(flows, behind[number]),
            number in above,
        )
        for number, row in enumerate(network.branches)
        if row.role is Behaviour.PROTECTION
    )


def cavity_loads(flows: Flows) -> dict[tuple[str, str], Load]:
    """The greatest current that can pass each cavity at one time, by connector and cavity."""
    found: dict[tuple[str, str], list[Consumer]] = defaultdict(list)
    network = flows.network
    for consumer in flows.ways:
        for number in (*consumer.feed, *flows.own_return(consumer)):
            row = network.branches[number]
            if isinstance(row.owner, Connector):
                found[row.owner.id, network.graph.points[row.a].terminal].append(consumer)
    return {cavity: load_of(flows, consumers) for cavity, consumers in found.items()}


def load_of(flows: Flows, consumers: Iterable[Consumer]) -> Load:
    """The greatest current that some consumers can draw at one time."""
    amperes, drawing = flows.worst(consumers)
    return Load(amperes, drawing, any(consumer.assumed for consumer in drawing))
