"""The current of a dead short at the far end of what a fuse feeds: does it clear the fuse?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from compiler.model.items import Behaviour, Device, Wire
from compiler.network.flows import Flows
from compiler.standards.fuses import OpeningLimit, fuse_types, opening_limits


@dataclass(frozen=True, slots=True)
class FarShort:
    """The short that a fuse sees least of.

    device   the fuse; `rating_a` its rating
    wires    the wires between the source and the short
    amperes  the fault current, A
    ohm      resistance of the loop, ohm; `return_ohm` that of the way back from the metal
    most     the wire that has more than half of the loop's resistance by itself, or None
    """

    device: Device
    rating_a: float
    wires: tuple[Wire, ...]
    amperes: float
    ohm: float
    return_ohm: float
    most: Wire | None


def far_shorts(flows: Flows) -> Iterator[FarShort]:
    """For every fuse with a rating, the short to metal that gives the least current. What lies behind a resistor,
    and what
    is not known by size and length, is left out."""
    network = flows.network
    sources = [row for row in network.branches if row.role is Behaviour.SOURCE and not row.element.when]
    if not sources:
        return
    source = sources[0].element
    back = flows.metal_return_ohm
    if back is None:
        return
    worst: dict[int, tuple[float, int]] = {}
    for potential, fuse, ohm in flows.behind_fuses:
        if fuse not in worst or ohm > worst[fuse][0]:
            worst[fuse] = (ohm, potential)
    for fuse, (ohm, potential) in worst.items():
        rating = network.ratings.get(fuse)
        if rating:
            loop = ohm + source.ohm + back
            rows = [network.branches[number] for number in flows.feed_trail(potential)]
            wires = tuple(row.owner for row in rows if isinstance(row.owner, Wire))
            most = next((r.owner for r in rows if isinstance(r.owner, Wire) and r.element.ohm > loop / 2), None)
            device = network.variant.devices[network.branches[fuse].device]
            yield FarShort(device, rating, wires, source.volts / loop, loop, back, most)


def needed(short: FarShort, seconds: float) -> OpeningLimit | None:
    """The lowest published current at which such a fuse is open within a time; None when nothing is published for
    it."""
    kind = short.device.word("type")
    if short.device.kind != "fuse" or kind not in fuse_types():
        return None
    limits = [lim for lim in opening_limits(kind, short.rating_a) if lim.max_s is not None and lim.max_s <= seconds]
    return min(limits, key=lambda limit: limit.percent) if limits else None
