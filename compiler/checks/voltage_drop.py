"""Wires that lose more voltage on the way to a load than its class of circuit may."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._loads import rounded
from compiler.checks._waivers import excused
from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.checks.relay_pull_in import RelayPullIn, weak_coils
from compiler.network.drops import Drop, drops
from compiler.standards.grades import enforceable
from grammar.finding import Finding, Note, Severity

_MOST = 5


class VoltageDrop(Check):
    """Page: pages/voltage-drop.md."""

    name = "voltage-drop"
    severity = Severity.ERROR
    family = "electrical behaviour"
    policies = ("conductor-temperature", "rated-voltage")
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        if not subject.electrical.has_battery:
            return
        # Loads that hang on one wire too thin for all are one fault: it is told once, of the load that loses most.
        worst: dict[int, Drop] = {}
        also: dict[int, list[str]] = {}
        # A coil that gets too little to pull in is told of there.
        weak = () if subject.is_off(RelayPullIn.name) else {w.consumer for w in weak_coils(subject)}
        told = excused(subject.variant, RelayPullIn.name)
        for drop in drops(subject.electrical.flows):
            if drop.volts <= drop.limit.volts * (1 + 1e-9):
                continue
            if drop.consumer in weak and not told(drop.consumer.device.at):
                continue
            key = id(max(drop.wires, key=lambda row: row.volts).wire)
            also.setdefault(key, []).append(drop.consumer.name)
            if key not in worst or drop.volts > worst[key].volts:
                worst[key] = drop
        for key, drop in worst.items():
            yield self._finding(drop, [name for name in also[key] if name != drop.consumer.name])

    def _finding(self, drop: Drop, others: list[str]) -> Finding:
        limit = drop.limit
        greatest = sorted(drop.wires, key=lambda row: -row.volts)
        notes = [
            Note(
                row.wire.at,
                f"{row.wire.id}: {row.wire.size}, {row.wire.length_m:g} m, {rounded(row.amperes)}: {row.volts:.2f} V",
            )
            for row in greatest[:_MOST]
        ]
        if others:
            notes.append(Note(greatest[0].wire.at, f"also over the limit behind it: {listing(others)}"))
        notes.append(Note(None, f"limit for {limit.title} ({limit.scope}): {limit.volts:g} V; {limit.source}"))
        return self.finding(
            greatest[0].wire.size_at,
            f"the wires {_way(drop)} lose {drop.volts:.2f} V, {limit.volts:g} V may be lost",
            notes=tuple(notes),
            mend=f"take thicker wire, first for {greatest[0].wire.id}",
            severity=None if drop.declared and enforceable(limit.grade) else Severity.WARNING,
        )


def _way(drop: Drop) -> str:
    name = drop.consumer.name
    return f"between {name} and the battery" if drop.limit.name == "charging" else f"to {name}"
