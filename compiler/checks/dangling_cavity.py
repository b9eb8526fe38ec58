"""A cavity wired on one half only."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks.base import Check, Subject
from compiler.circuit.graph import device_terminal
from compiler.model.items import Connector, Point, Wire
from compiler.model.variant import Variant
from grammar.finding import Finding, Note, Severity


class DanglingCavity(Check):
    """Page: pages/dangling-cavity.md."""

    name = "dangling-cavity"
    severity = Severity.ERROR
    family = "cavities and connectors"

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant = subject.variant
        for connector in variant.connectors.values():
            for cavity in connector.cavities:
                if connector.device:
                    yield from self._component(variant, connector, cavity)
                else:
                    yield from self._inline(variant, connector, cavity)

    def _inline(self, variant: Variant, connector: Connector, cavity: str) -> Iterator[Finding]:
        near = variant.wires_at(Point(connector.id, cavity, 0))
        far = variant.wires_at(Point(connector.id, cavity, 1))
        if bool(near) == bool(far):
            return
        empty = 1 if near else 0
        if empty in connector.spare.get(cavity, ()) or empty in connector.plugged.get(cavity, ()):
            return
        wired = connector.half_name(1 - empty)
        mend = f"wire the {connector.half_name(empty)} of {connector.id}.{cavity}, or mark it `spare {cavity}`"
        wire: Wire = (near or far)[0]
        end = wire.a if wire.a.point == Point(connector.id, cavity, 1 - empty) else wire.b
        yield self.finding(
            wire.at._replace(start=end.written.start, end=end.written.end),
            f"cavity {connector.id}.{cavity} is wired on the {wired} only",
            notes=(Note(connector.at, f"{connector.id} is declared here"),),
            mend=mend,
        )

    def _component(self, variant: Variant, connector: Connector, cavity: str) -> Iterator[Finding]:
        device = variant.devices.get(connector.device)
        if device is None:
            return
        wires = variant.wires_at(Point(connector.id, cavity, 0))
        terminal = device_terminal(device, connector.id, cavity)
        spare = 0 in connector.spare.get(cavity, ()) or terminal in device.spare or connector.spare_rest
        note = (Note(connector.at, f"{connector.id} is declared here"),)
        if wires and not terminal:
            wire = wires[0]
            end = wire.a if wire.a.point == Point(connector.id, cavity, 0) else wire.b
            yield self.finding(
                wire.at._replace(start=end.written.start, end=end.written.end),
                f"cavity {connector.id}.{cavity} is wired, but {device.id} has no terminal there",
                notes=note,
                mend=f"give {device.id} a terminal {cavity}, or end the wire elsewhere",
            )
        elif terminal and not wires and not spare and 0 not in connector.plugged.get(cavity, ()):
            yield self.finding(
                connector.at,
                f"terminal {terminal} of {device.id} has no wire in cavity {connector.id}.{cavity}",
                notes=(Note(device.at, f"{device.id} is declared here"),),
                mend=f"wire the cavity, or mark it `spare {cavity}`",
            )
