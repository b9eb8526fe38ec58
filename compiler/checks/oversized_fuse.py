"""A fuse or breaker larger than the wire at its load terminal may have."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._protecting import (
    SETTING,
    allowed_a,
    basis,
    chosen_policy,
    named,
    rating_of,
    remedy,
    wires_at_load,
)
from compiler.checks._words import listing, rounded_down
from compiler.checks.base import Check, Subject
from compiler.circuit.feeds import Protection
from compiler.circuit.graph import Graph
from compiler.model.items import Wire
from compiler.standards.grades import enforceable
from compiler.standards.protection import Policy
from compiler.standards.sizes import Size
from grammar.finding import Finding, Note, Severity


class OversizedFuse(Check):
    """Page: pages/oversized-fuse.md."""

    name = "oversized-fuse"
    severity = Severity.ERROR
    family = "protection and feeds"
    policies = (SETTING,)
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        rule = chosen_policy(subject)
        for protection in subject.feeds.protections:
            found = _thinnest(subject.graph, rule, protection)
            if found is None:
                continue
            wires, size = found
            limit = rounded_down(allowed_a(rule, protection, size))
            yield self.finding(
                protection.device.at,
                f"{named(protection)} is larger than {'wires' if len(wires) > 1 else 'wire'}"
                f" {listing(wire.id for wire in wires)} of {size} may have: {limit} at most",
                notes=(*(Note(wire.at, f"{wire.id}, {size}") for wire in wires), basis(rule, [size])),
                mend=remedy(rule, protection, size),
                severity=None if enforceable(rule.grade) else Severity.WARNING,
            )


def _thinnest(graph: Graph, rule: Policy, protection: Protection) -> tuple[list[Wire], Size] | None:
    """The wires at a load terminal that may have least, and their size, if the device is too large for them."""
    rating = rating_of(protection)
    sized = [(wire, wire.size) for wire in wires_at_load(graph, protection) if wire.size is not None]
    if rating is None or not sized:
        return None
    size = min((size for _, size in sized), key=lambda size: allowed_a(rule, protection, size))
    if rating <= allowed_a(rule, protection, size):
        return None
    return [wire for wire, own in sized if own == size], size
