"""A cavity wired on one half only."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from difflib import SequenceMatcher

from compiler.checks._ends import place_at
from compiler.checks._waivers import excused
from compiler.checks.base import Check, Subject
from compiler.checks.cavity_overfilled import CavityOverfilled, overfilled
from compiler.model.items import Connector, Point
from compiler.model.variant import Variant
from grammar.finding import Finding, Note, Severity

MOST_COMPARED = 100


class DanglingCavity(Check):
    """Page: pages/dangling-cavity.md."""

    name = "dangling-cavity"
    severity = Severity.ERROR
    family = "cavities and connectors"

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant = subject.variant
        strays = _strays(subject)
        for connector in variant.connectors.values():
            if not connector.is_inline:
                # A component that no wire reaches at all is one fault, and another check's.
                if connector.device not in subject.usage.idle:
                    yield from self._component(variant, connector)
                continue
            lone = self._lone(variant, connector)
            for name, half in strays.get(connector.id, ()) if lone else ():
                # A wire that names a cavity out of range, or one that is full, was meant for one of those that wait.
                waiting = [cavity for cavity, empty in lone.items() if empty == half]
                if waiting:
                    del lone[_most_like(name, waiting)]
            for cavity, empty in lone.items():
                yield self._inline(variant, connector, cavity, empty)

    def _lone(self, variant: Variant, connector: Connector) -> dict[str, int]:
        """The cavities with a wire on one half only, and their empty half."""
        found: dict[str, int] = {}
        wires_at, id_ = variant.wires_at, connector.id
        for cavity in connector.cavities:
            near, far = wires_at(Point(id_, cavity, 0)), wires_at(Point(id_, cavity, 1))
            if bool(near) == bool(far) or any(wire.a.point == wire.b.point for wire in near or far):
                continue
            # Marked on the empty half is as it should be; marked on the wired half is the business of another check.
            if cavity not in connector.spare and cavity not in connector.plugged:
                found[cavity] = 1 if near else 0
        return found

    def _inline(self, variant: Variant, connector: Connector, cavity: str, empty: int) -> Finding:
        point = Point(connector.id, cavity, 1 - empty)
        side = connector.half_name(empty)
        return self.finding(
            place_at(variant.wires_at(point)[0], point),
            f"cavity {connector.id}.{cavity} is wired on the {connector.half_name(1 - empty)} only",
            notes=(Note(connector.at, f"{connector.id} is declared here"),),
            mend=f"wire the {side}, or mark it `spare {cavity} on {connector.halves[empty]}`",
        )

    def _component(self, variant: Variant, connector: Connector) -> Iterator[Finding]:
        device = variant.devices.get(connector.device)
        if device is None:
            return
        alone, terminals = len(device.connectors) == 1, frozenset(device.terminals)
        for cavity in connector.cavities:
            point = Point(connector.id, cavity, 0)
            wires = variant.wires_at(point)
            terminal = next((t for t in (str(point), cavity if alone else "") if t in terminals), "")
            if wires and not terminal:
                yield self.finding(
                    place_at(wires[0], point),
                    f"cavity {connector.id}.{cavity} is wired, but {device.id} has no terminal there",
                    notes=(Note(connector.at, f"{connector.id} is declared here"),),
                    mend=f"give {device.id} a terminal {cavity}, or end the wire elsewhere",
                )
            elif terminal and not wires:
                spare = cavity in connector.spare or terminal in device.spare or connector.spare_rest
                if not spare and cavity not in connector.plugged:
                    yield self.finding(
                        connector.at,
                        f"terminal {terminal} of {device.id} has no wire in cavity {connector.id}.{cavity}",
                        notes=(Note(device.at, f"{device.id} is declared here"),),
                        mend=f"wire the cavity, or mark it `spare {cavity}`",
                    )


def _most_like(name: str, names: list[str]) -> str:
    if len(names) > MOST_COMPARED:
        return names[0]
    return max(names, key=lambda other: SequenceMatcher(None, name, other).ratio())


def _strays(subject: Subject) -> dict[str, list[tuple[str, int]]]:
    """Connector -> names of cavities at which wires end that have no place there, and the half each would land on."""
    found: dict[str, list[tuple[str, int]]] = defaultdict(list)
    if not subject.is_off(CavityOverfilled.name):
        waived = excused(subject.variant, CavityOverfilled.name)
        for full in overfilled(subject):
            if not waived(full.at):
                found[full.point.item].append((full.point.terminal, full.point.half))
    for end in subject.ends.adrift:
        connector = subject.variant.connectors.get(end.item)
        if end.end.problem == "out-of-range" and connector and end.wire.harness in connector.halves:
            found[connector.id].append((end.terminal, connector.halves.index(end.wire.harness)))
    return found
