"""Voltage lost in the wires of a circuit while its load works: current times resistance, along the way, added up by
hand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from compiler.model.items import Behaviour, Part, Wire
from compiler.network.flows import Consumer, Flows
from compiler.standards.drop import DropLimit, drop_classes, drop_limit

_SMALL_LAMP_W = 15.0
_LAMPS = ("lamp", "led")


@dataclass(frozen=True, slots=True)
class WireDrop:
    """One wire on the way: the current it carries then, A, and what it loses, V."""

    wire: Wire
    amperes: float
    volts: float


@dataclass(frozen=True, slots=True)
class Drop:
    """What the wires on one load's way lose.

    consumer  the load
    limit     the published limit of its class
    declared  whether the source names the class; else it is the one of the load's kind
    wires     the wires that count, from the source on
    volts     their loss together, V
    """

    consumer: Consumer
    limit: DropLimit
    declared: bool
    wires: tuple[WireDrop, ...]
    volts: float


def drops(flows: Flows) -> Iterable[Drop]:
    """The drop of every load whose class has a limit and whose wires are all known by size and length.

    While a load works, so does what its own needs turn on with it behind the same fuse; nothing else is on. Contacts
    and fuses are left out: what they lose is not in the source. Last come the ways of alternators to the battery.
    """
    supply = flows.network.world.supply_v
    for group in flows.by_fuse.values():
        for consumer in group:
            named = _declared(flows, consumer)
            if consumer.assumed or (named and named not in drop_classes()):
                continue
            active = [other for other in group if other is consumer or flows.with_it(consumer, other)]
            name = named or _class_of(flows, consumer, active)
            limit = drop_limit(name, supply) if name else None
            if limit is None:
                continue
            way = _way(flows, consumer, limit)
            if _known(flows, way):
                yield _drop(flows, consumer, limit, bool(named), way, active)
    yield from _charging(flows)


def _known(flows: Flows, way: Sequence[int]) -> bool:
    """Whether there are wires on a way, and all of them give size and length."""
    wires = [flows.network.branches[n].owner for n in way]
    return bool(wires) and all(isinstance(w, Wire) and w.size and w.length_m is not None for w in wires)


def _charging(flows: Flows) -> Iterable[Drop]:
    """The drop between every alternator and the battery while it charges with its rated current."""
    rows, variant = flows.network.branches, flows.network.variant
    limit = drop_limit("charging", flows.network.world.supply_v)
    for branch, feed in flows.charging if limit else ():
        part = rows[branch].owner
        way = [number for number in feed if rows[number].role is Behaviour.WIRE]
        assert isinstance(part, Part)
        assert limit is not None
        amperes = part.ratings.get("current", 0.0)
        if amperes and _known(flows, way):
            machine = variant.devices[rows[branch].device]
            consumer = Consumer(branch, machine, part, amperes, False, feed, (), {}, -1)
            named = _declared(flows, consumer) == "charging"
            yield _drop(flows, consumer, limit, named, way, [consumer])


def _drop(
    flows: Flows, consumer: Consumer, limit: DropLimit, declared: bool, way: Sequence[int], active: Sequence[Consumer]
) -> Drop:
    rows = flows.network.branches
    found: list[WireDrop] = []
    for number in way:
        wire = rows[number].owner
        assert isinstance(wire, Wire)
        amperes = sum(other.amperes for other in active if number in other.feed or number in other.back)
        found.append(WireDrop(wire, amperes, amperes * rows[number].element.ohm))
    return Drop(consumer, limit, declared, tuple(found), sum(row.volts for row in found))


def _way(flows: Flows, consumer: Consumer, limit: DropLimit) -> list[int]:
    """The wires that a limit is about, by its scope."""
    rows = flows.network.branches
    feed = list(consumer.feed)
    if limit.scope.startswith("light switch"):
        # From the feed side of the contact that turns the lamp on: the last one on its way.
        contacts = [place for place, number in enumerate(feed) if rows[number].role is Behaviour.CONTACT]
        feed = feed[contacts[-1] :] if contacts else []
    if limit.scope in ("out and back", "bus to load ground"):
        feed += flows.own_return(consumer)
    return [number for number in feed if rows[number].role is Behaviour.WIRE]


def _declared(flows: Flows, consumer: Consumer) -> str:
    """The class that the wires of a load name, the one nearest to it first; empty when none does."""
    rows, variant = flows.network.branches, flows.network.variant
    for number in reversed(consumer.feed):
        wire = rows[number].owner
        if isinstance(wire, Wire):
            circuit = variant.circuits.get(wire.circuit)
            if named := wire.words.get("class") or (circuit.class_ if circuit else ""):
                return named
    return ""


def _class_of(flows: Flows, consumer: Consumer, active: Sequence[Consumer]) -> str:
    """The class that is published for a load's kind, or empty.

    A small lamp on the wires of large ones is of their class. One by itself has a limit of 0.1 V, which dates from
    a time of
    short circuits: that one counts only where the source names it.
    """
    kind, is_coil = consumer.part.kind, flows.network.branches[consumer.branch].role is Behaviour.COIL
    if kind in _LAMPS:
        largest = max(other.part.ratings.get("power", 0.0) for other in active if other.part.kind in _LAMPS)
        return "lamp" if largest >= _SMALL_LAMP_W else ""
    if kind == "headlamp":
        return "headlamp"
    if kind == "starter":
        return "" if is_coil else "starter"
    return "control" if kind in ("coil", "horn") else ""
