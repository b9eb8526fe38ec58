"""A wire in a cavity that is marked spare or plugged."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._ends import place_at
from compiler.checks.base import Check, Subject
from compiler.model.items import Connector, Point
from compiler.model.variant import Variant
from grammar.finding import Finding, Note, Severity


class SpareCavityWired(Check):
    """Page: pages/spare-cavity-wired.md."""

    name = "spare-cavity-wired"
    severity = Severity.ERROR
    family = "cavities and connectors"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant = subject.variant
        for connector in variant.connectors.values():
            for cavity in dict.fromkeys((*connector.spare, *connector.plugged)):
                yield from self._cavity(variant, connector, cavity)
        for device in variant.devices.values():
            for terminal in device.terminals if device.spare else ():
                if terminal not in device.spare:
                    continue
                through = variant.connector_of_terminal(device, terminal)
                point = Point(*through) if through else Point(device.id, terminal)
                if wires := variant.wires_at(point):
                    yield self.finding(
                        place_at(wires[0], point),
                        f"terminal {terminal} of {device.id} is marked spare, and wire {wires[0].id} ends there",
                        notes=(Note(device.at, f"{device.id} is declared here"),),
                        mend=f"take {terminal} out of the spare terminals, or end the wire elsewhere",
                    )

    def _cavity(self, variant: Variant, connector: Connector, cavity: str) -> Iterator[Finding]:
        found: list[tuple[Point, str]] = []
        for half in (0, 1):
            point = Point(connector.id, cavity, half)
            for word, marked in (("spare", connector.spare), ("plugged", connector.plugged)):
                if half in marked.get(cavity, ()) and variant.wires_at(point):
                    found.append((point, word))
                    break
        if not found:
            return
        point, word = found[0]
        wire = variant.wires_at(point)[0]
        notes = [Note(at, "marked here") for name, at in connector.listed if name == cavity][:1]
        for other, _ in found[1:]:
            second = variant.wires_at(other)[0]
            notes.append(Note(place_at(second, other), f"{second.id} ends on the {connector.half_name(other.half)}"))
        yield self.finding(
            place_at(wire, point),
            f"cavity {connector.id}.{cavity} is marked {word}, and wire {wire.id} ends there",
            notes=tuple(notes),
            mend=f"take {cavity} out of `{word}`, or end the wire elsewhere",
        )
