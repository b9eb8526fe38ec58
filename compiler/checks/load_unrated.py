"""A load of which the source gives neither power nor current nor resistance."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.model.items import Behaviour, Device, Part
from grammar.finding import Finding, Severity
from grammar.source import Span

_ENOUGH = ("power", "current", "resistance")
# Their draw is small or not the load's own, and seldom given.
_LEFT_OUT = ("pin", "flasher", "gauge")
_WORKING = (Behaviour.LOAD, Behaviour.COIL)


class LoadUnrated(Check):
    """Page: pages/load-unrated.md."""

    name = "load-unrated"
    severity = Severity.NOTE
    family = "electrical behaviour"

    def run(self, subject: Subject) -> Iterator[Finding]:
        idle = subject.usage.idle
        known = {id(source) for source in subject.variant.sources}
        places: dict[tuple[int, int], tuple[Span, Part, list[Device]]] = {}
        for device in subject.variant.devices.values():
            if device.id in idle:
                continue
            for part in device.parts:
                if _is_unrated(part):
                    # A part of a kind declared in source is written once for all devices of that kind.
                    at = part.at if id(part.at.source) in known else device.at
                    places.setdefault((id(at.source), at.start), (at, part, []))[2].append(device)
        for at, part, devices in places.values():
            name = part.label or part.kind
            own = f" of {devices[0].id}" if part.kind != devices[0].kind else f" {devices[0].id}"
            many = f" of {listing(d.id for d in devices)}" if len(devices) > 1 else own
            yield self.finding(
                at,
                f"{name}{many} has no power, current or resistance: voltages and currents there are rough",
                mend="give one of them, as `5 W`, `0.4 A` or `90 ohm`",
            )


def _is_unrated(part: Part) -> bool:
    if part.kind in _LEFT_OUT or not any(s.behaviour in _WORKING for s in part.stretches):
        return False
    return not any(name in part.ratings for name in _ENOUGH)
