"""Load summaries for the pack, and what is live in a state: figures that charts and sheets lay out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from compiler.model.items import Behaviour, Connector, Device, Part
from compiler.network.flows import Consumer, Flows


@dataclass(frozen=True, slots=True)
class Load:
    """What can flow at one time, A, and through which loads; `assumed` when the rating of one of them is not given.

    machine  id of the alternator whose rated output this is, where that is more than the loads draw; `amperes` is then
             0 if its rating is not given
    """

    amperes: float
    consumers: tuple[Consumer, ...]
    assumed: bool
    machine: str = ""

    @property
    def known(self) -> bool:
        """Whether there is a figure."""
        return self.amperes > 0 if self.machine else bool(self.consumers)


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
        return None if self.rating_a is None or not self.load.known else self.rating_a - self.load.amperes


def fuse_loads(flows: Flows) -> tuple[FuseLoad, ...]:
    """The greatest load of every fuse, breaker and fusible link, in the order of the source."""
    network = flows.network
    above: set[int] = set()
    for consumer in flows.ways:
        fuses = [n for n in consumer.feed if network.branches[n].role is Behaviour.PROTECTION]
        above.update(n for n in fuses if n != consumer.fuse)
    return tuple(
        FuseLoad(
            network.variant.devices[row.device],
            network.ratings.get(number),
            branch_load(flows, number),
            number in above,
        )
        for number, row in enumerate(network.branches)
        if row.role is Behaviour.PROTECTION
    )


def cavity_loads(flows: Flows) -> dict[tuple[str, str], Load]:
    """The greatest current that can pass each cavity at one time, by connector and cavity."""
    found: dict[tuple[str, str], Load] = {}
    network = flows.network
    for number, row in enumerate(network.branches):
        if isinstance(row.owner, Connector) and (load := branch_load(flows, number)).known:
            found[row.owner.id, network.graph.points[row.a].terminal] = load
    return found


def branch_load(flows: Flows, number: int) -> Load:
    """The greatest current that can pass a branch at one time: its part of it where conductors lie side by side, and
    an alternator's rated output on the way to the battery."""
    share = flows.shares.get(number)
    rows = share.rows if share else (number,)
    load = load_of(flows, dict.fromkeys(consumer for row in rows for consumer in flows.passing.get(row, ())))
    load = charged(flows, load, (m for m, trail in flows.charging if any(row in trail for row in rows)))
    return replace(load, amperes=load.amperes * share.part) if share else load


def charged(flows: Flows, load: Load, machines: Iterable[int]) -> Load:
    """A load, or the rated output of an alternator (by its branch) that passes there too and is more, or not given."""
    for machine in machines:
        row = flows.network.branches[machine]
        rated = row.owner.ratings.get("current", 0.0) if isinstance(row.owner, Part) else 0.0
        if rated > load.amperes or not rated:
            load = Load(rated, load.consumers, False, row.device)
    return load


def load_of(flows: Flows, consumers: Iterable[Consumer]) -> Load:
    """The greatest current that some consumers can draw at one time."""
    amperes, drawing = flows.worst(consumers)
    return Load(amperes, drawing, any(consumer.assumed for consumer in drawing))
