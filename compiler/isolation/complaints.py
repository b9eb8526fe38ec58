"""Where a search begins: complaints and trouble codes of the source, and four complaints for every load."""

from __future__ import annotations

import re
from collections.abc import Iterator

from compiler.isolation.policy import IsolationError
from compiler.isolation.rows import Sound
from compiler.isolation.seen import OPENS
from compiler.isolation.types import Complaint, Observation, Settings
from compiler.isolation.words import DEAD, WORKS
from compiler.model.items import Behaviour, Device, Scenario, TroubleCode
from compiler.network.flows import Consumer, Flows
from compiler.network.meter import Meter
from compiler.network.network import Network
from compiler.network.places import PlaceError, find_place

GENERIC = {"dead": "does not work", "on": "works always", "weak": "works weakly", "fuse": "opens its fuse"}
"""The complaints that every load may have, and their words."""
_SORTS = {
    "open": ("open", "high-resistance", "stuck-open"),
    "stuck-open": ("open", "stuck-open"),
    "high-resistance": ("high-resistance",),
    "short": ("short-to-ground", "stuck-closed"),
    "short-to-ground": ("short-to-ground",),
    "stuck-closed": ("stuck-closed",),
}


def of_source(variant_scenario: Scenario) -> Complaint:
    """A complaint as the source has it."""
    settings = tuple((fact.subject, fact.words[0]) for fact in variant_scenario.set if fact.words)
    seen = tuple(Observation(settings, fact.subject, fact.words) for fact in variant_scenario.seen)
    title = variant_scenario.title or variant_scenario.id
    subject = next((fact.subject for fact in variant_scenario.seen), "")
    return Complaint(slug(title), title, settings, seen, "source", subject)


def of_code(code: TroubleCode, settings: Settings) -> Complaint:
    """A trouble code as a complaint. The settings are those in which its circuit works."""
    within = f"circuit {code.subject}" if code.about == "circuit" else code.subject
    faults = _SORTS.get(code.fault, ())
    return Complaint(f"code-{slug(code.id)}", f"{code.id} {code.title}", settings, (), "code", code.id, within, faults)


def slug(text: str) -> str:
    """A short name from words."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")


class Generic:
    """The complaints of the loads of one network, with settings worked out from it."""

    def __init__(self, network: Network, flows: Flows, sound: Sound) -> None:
        self.network, self.flows, self.sound = network, flows, sound

    def loads(self) -> list[Consumer]:
        """The loads (not the coils) that can be made to work."""
        rows = self.network.branches
        return [c for c in self.flows.consumers if rows[c.branch].role is Behaviour.LOAD]

    def settings(self, consumer: Consumer) -> Settings:
        """What has to be set for a load to work."""
        return self.adapted((), consumer)

    def adapted(self, settings: Settings, consumer: Consumer) -> Settings:
        """Settings changed so far that a load works in them."""
        made = dict(settings)
        for subject, positions in consumer.need.items():
            known = self.network.positions.get(subject, ())
            if subject in self.network.moved or not known or made.get(subject, known[0]) in positions:
                continue
            made[subject] = next(position for position in known if position in positions)
        return tuple(made.items())

    def subject(self, consumer: Consumer) -> str:
        """A name by which the network finds exactly this load, or empty."""
        element = self.network.branches[consumer.branch].element
        for name in (consumer.name, f"{consumer.device.id}.{element.a}-{element.b}"):
            try:
                place = find_place(self.network, name)
            except PlaceError:
                continue
            if [n for n in place.branches if self.network.branches[n].role is Behaviour.LOAD] == [consumer.branch]:
                return name
        return ""

    def share(self, settings: Settings, consumer: Consumer) -> float:
        """How much of its rated voltage a load gets when nothing is wrong."""
        meter = Meter(self.sound(settings))
        found = [x for x in meter.loads(consumer.device, consumer.part) if x.branch == consumer.branch]
        return found[0].share if found else 0.0

    def complaints(self, consumer: Consumer) -> Iterator[Complaint]:
        """Those of the four complaints that make sense for a load."""
        subject = self.subject(consumer)
        if not subject:
            return
        on = self.settings(consumer)
        if self.share(on, consumer) < WORKS[0]:
            return
        named = _title(consumer.device, subject)

        def made(sort: str, settings: Settings, *seen: Observation) -> Complaint:
            return Complaint(f"{subject}-{sort}", f"{named} {GENERIC[sort]}", settings, seen, sort, subject)

        yield made("dead", on, Observation(on, subject, ("dead",)))
        yield made("weak", on, Observation(on, subject, ("weak",)))
        off = self._off(consumer, on)
        if off is not None:
            yield made("on", off, Observation(off, subject, ("powered",)))
        if consumer.fuse in self.network.ratings:
            fuse = self.network.branches[consumer.fuse].device
            yield made("fuse", on, Observation(on, fuse, (OPENS,)))

    def _off(self, consumer: Consumer, on: Settings) -> Settings | None:
        """As little as possible changed so that the load must be dead: the switch nearest to it put to rest."""
        settings = dict(on)
        for subject in reversed(settings):
            left = tuple((s, p) for s, p in settings.items() if s != subject)
            if self.share(left, consumer) < DEAD[1]:
                return left
        return () if settings and self.share((), consumer) < DEAD[1] else None

    def of_circuit(self, within: str) -> Settings:
        """Settings in which most flows through a circuit or item: those of its first load, else none.

        None for a circuit or item that is not there: whoever begins a search from it is told.
        """
        try:
            around = set(find_place(self.network, within).branches)
        except PlaceError:
            return ()
        for consumer in sorted(self.flows.consumers, key=lambda c: -c.amperes):
            if around & {consumer.branch, *consumer.feed, *consumer.back}:
                return self.settings(consumer)
        return ()


def _title(device: Device, subject: str) -> str:
    return f"{device.title} ({subject})" if device.title else subject


def find(complaints: tuple[Complaint, ...], name: str) -> Complaint:
    """A complaint by id or title, a trouble code by the code alone. Raises IsolationError."""
    ids = (slug(name), f"code-{slug(name)}")
    for complaint in complaints:
        if name in (complaint.id, complaint.title) or complaint.id in ids:
            return complaint
    from compiler.assembly.names import nearest

    near = nearest(name, [c.id for c in complaints])
    raise IsolationError(f"there is no complaint {name}" + (f"; did you mean {near}?" if near else ""))
