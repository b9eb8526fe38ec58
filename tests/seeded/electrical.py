"""Planters of electrical faults: given the clean demo, places where a load, wire, fuse, coil or contact can be made
wrong."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cache

from compiler.circuit.feeds import Feeds
from compiler.model.items import Behaviour, Point, Wire
from compiler.model.variant import Variant
from compiler.network.drops import drops
from compiler.network.flows import Consumer, Flows
from compiler.network.network import Network
from compiler.network.shorts import far_shorts, needed
from compiler.network.world import is_continuous
from compiler.standards.protection import policy
from compiler.standards.sizes import read_size
from grammar.source import Span
from tests.seeded.edits import Planted, end_span, file_end
from tests.seeded.planters import _rating, planter

THIN = "0.13 mm2"
LIMITS = policy("33cfr183-105c")


@cache
def flows_of(feeds: Feeds) -> Flows:
    return Flows(Network(feeds.graph))


def known(consumers: Iterable[Consumer]) -> list[Consumer]:
    return [consumer for consumer in consumers if not consumer.assumed]


def set_size(wire: Wire, size: str) -> Planted:
    """The wire in another size, said on its own line."""
    if wire.size_at.source is wire.span.source and wire.span.start <= wire.size_at.start < wire.span.end:
        return Planted().replace(wire.size_at, size).at(wire.span)
    behind = end_span(wire, wire.b)
    return Planted().insert(behind._replace(start=behind.end), f"  {size}  ").at(wire.span)


def set_length(wire: Wire, length: str) -> Planted | None:
    """The wire in another length; None where it gives none on its own line."""
    match = re.search(r"(?<=\s)\d+(?:\.\d+)? m(?=\s|$|\})", wire.span.text)
    if match is None:
        return None
    start = wire.span.start + match.start()
    return Planted().replace(Span(wire.span.source, start, start + len(match[0])), length)


@planter("fuse-overload")
def fuse_overload(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    flows = flows_of(feeds)
    for branch, rating in flows.network.ratings.items():
        total, _ = flows.worst(known(flows.loads_of_fuse.get(branch, ())))
        device = variant.devices[flows.network.branches[branch].device]
        if 0.2 < total < rating:
            yield Planted().replace(_rating(device), f"{total * 0.9:.2f}").at(device.at)


@planter("fuse-continuous-load")
def fuse_continuous_load(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    flows = flows_of(feeds)
    for branch in flows.network.ratings:
        device = variant.devices[flows.network.branches[branch].device]
        loads = known(flows.loads_of_fuse.get(branch, ()))
        total, _ = flows.worst(loads)
        steady, _ = flows.worst([load for load in loads if is_continuous(load.part.kind)])
        if device.kind == "fuse" and total == steady > 0.5:
            yield Planted().replace(_rating(device), f"{total / 0.9:.2f}").at(device.at)


def _overloaded(feeds: Feeds, through: dict[int, list[Consumer]], *, one_fuse: bool) -> Iterator[Planted]:
    flows = flows_of(feeds)
    limit = LIMITS.capacity_a(read_size("0.13", "mm2"))
    for branch, consumers in through.items():
        wire = flows.network.branches[branch].owner
        assert isinstance(wire, Wire)
        loads = [load for load in known(consumers) if load.part.kind != "starter"]
        if branch in flows.meshed or (one_fuse and flows.feeds_fuses(branch, consumers)) or wire.core:
            continue
        if flows.worst(loads)[0] > limit * 1.05:
            yield set_size(wire, THIN)


@planter("wire-overload")
def wire_overload(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    yield from _overloaded(feeds, flows_of(feeds).fed_through, one_fuse=True)


@planter("ground-overload")
def ground_overload(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    yield from _overloaded(feeds, flows_of(feeds).returning_through, one_fuse=False)


@planter("voltage-drop")
def voltage_drop(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for drop in drops(flows_of(feeds)):
        for row in drop.wires:
            longer = set_length(row.wire, "400 m")
            if longer is not None and row.volts / (row.wire.length_m or 1) * 400 > drop.limit.volts:
                yield longer.at(row.wire.size_at).at(row.wire.span)


@planter("short-not-cleared")
def short_not_cleared(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for short in far_shorts(flows_of(feeds)):
        longer = set_length(short.wires[-1], "900 m") if short.wires else None
        if longer is not None and needed(short, 5.0) is not None:
            yield longer.at(short.device.at)


@planter("relay-pull-in")
def relay_pull_in(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    flows = flows_of(feeds)
    for consumer in flows.consumers:
        row = flows.network.branches[consumer.branch]
        if row.role is not Behaviour.COIL or consumer.assumed or consumer.part.kind != "coil":
            continue
        for number in consumer.feed:
            wire = flows.network.branches[number].owner
            # One that no other load hangs on: what they share is told of the first of them.
            if isinstance(wire, Wire) and len(flows.fed_through[number]) == 1:
                longer = set_length(wire, "9000 m")
                if longer is not None:
                    yield longer.at(consumer.device.at)


@planter("coil-diode-reversed")
def coil_diode_reversed(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for consumer in flows_of(feeds).consumers:
        at = consumer.part.at
        match = re.match(r"coil( +\S+)( +\S+)", at.text) if consumer.part.kind == "coil" else None
        if match and at.source in variant.sources:
            words = Span(at.source, at.start, at.start + len(match[0]))
            yield Planted().replace(words, f"coil{match[2]}{match[1]} with-diode").at(at)


@planter("battery-drain")
def battery_drain(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    flows = flows_of(feeds)
    lamps = [c for c in known(flows.consumers) if c.part.kind in ("lamp", "led", "heater", "motor") and c.amperes > 0.1]
    live = next(bus for bus in variant.buses if bus == "BAT-BUS")
    for lamp in lamps:
        source = lamp.device.at.source
        words = (
            f'\nlamp EZ1 "Planted" 1 2 5 W\nsplice SPZ1\ncircuit ZZ1 0.75 mm2 RD {{\n  A  {live} -- EZ1.1  1 m\n'
            "  B  EZ1.2 -- G101  1 m\n}\n"
        )
        yield Planted().insert(file_end(source), words).at_words(source, "lamp EZ1")


def _switched_splices(variant: Variant, feeds: Feeds) -> Iterator[str]:
    """Splices that are fed through a contact and have something to feed."""
    flows = flows_of(feeds)
    network = flows.network
    live, grounded = network.always
    for splice in variant.splices:
        node = network.graph.index.get(Point(splice, "", 0))
        potential = network.of[node] if node is not None else -1
        if potential >= 0 and potential not in live | grounded and network.routes.feed.reaches(potential):
            numbers = [n for wire in variant.wires_of_item(splice) for n in network.branches_of(wire)]
            if any(c.amperes > 0.05 and not c.assumed for n in numbers for c in flows.fed_through.get(n, ())):
                yield splice


@planter("sneak-path")
def sneak_path(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for splice in _switched_splices(variant, feeds):
        source = variant.splices[splice].at.source
        words = (
            '\nlamp EZ1 "Planted" 1 2 60 W\nlamp EZ2 "Planted too" 1 2 10 W\nsplice SPZ1\ncircuit ZZ1 0.75 mm2 RD {\n'
            "  A  BAT-BUS -- EZ1.1  1 m\n  B  EZ1.2 -- SPZ1  1 m\n  C  SPZ1 -- EZ2.1  1 m\n"
            f"  D  EZ2.2 -- {splice}  1 m\n}}\n"
        )
        yield Planted().insert(file_end(source), words).at_words(source, "lamp EZ1")


@planter("relay-unsettled")
def relay_unsettled(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for splice in _switched_splices(variant, feeds):
        source = variant.splices[splice].at.source
        words = (
            '\nrelay KZ1 "Planted" { coil 86 85 90 ohm; contact 30 87a when at-rest }\ncircuit ZZ1 0.75 mm2 RD {\n'
            f"  A  {splice} -- KZ1.30  1 m\n  B  KZ1.87a -- KZ1.86  1 m\n  C  KZ1.85 -- G101  1 m\n}}\n"
        )
        yield Planted().insert(file_end(source), words).at_words(source, "relay KZ1")


OPPOSITE = {
    "lit": "out",
    "out": "lit",
    "runs": "stopped",
    "stopped": "runs",
    "powered": "dead",
    "energised": "at-rest",
    "at-rest": "energised",
    "sounds": "silent",
}


@planter("expectation-failed")
def expectation_failed(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for scenario in variant.scenarios:
        for fact in scenario.seen if scenario.kind == "expect" else ():
            word = fact.words[0]
            # What was set is so whatever the network says.
            if word in OPPOSITE and fact.subject not in {other.subject for other in scenario.set}:
                start = fact.at.start + fact.at.text.rindex(word)
                span = Span(fact.at.source, start, start + len(word))
                yield Planted().replace(span, OPPOSITE[word]).at(fact.at)
