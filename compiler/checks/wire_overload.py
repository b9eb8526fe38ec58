"""A wire that its loads can make carry more than it may."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from compiler.checks._loads import known, rounded, sum_note
from compiler.checks._protecting import SETTING, chosen_policy
from compiler.checks._words import listing, rounded_down
from compiler.checks.base import Check, Subject
from compiler.model.items import Behaviour, Wire
from compiler.network.electrical import number
from compiler.network.flows import Consumer, Flows
from compiler.standards.grades import enforceable
from compiler.standards.protection import Policy
from grammar.finding import Finding, Note, Severity

DERATING = "wire-derating"


class WireOverload(Check):
    """Page: pages/wire-overload.md."""

    name = "wire-overload"
    severity = Severity.ERROR
    family = "electrical behaviour"
    policies = (SETTING, DERATING, "rated-voltage")
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        derating = number(subject.settings.policy, DERATING, 1.0)
        if not subject.electrical.has_battery:
            return
        flows = subject.electrical.flows
        for found in overloaded(flows, flows.fed_through, chosen_policy(subject), derating):
            wire = found.wires[0]
            yield self.finding(
                wire.size_at,
                f"{_named(found.wires)} of {wire.size} can carry {rounded(found.total)}:"
                f" {rounded_down(found.limit)} at most",
                notes=(sum_note(found.drawing), basis_note(found.rule, derating)),
                mend="take a thicker wire, or move a load to another circuit",
                severity=None if enforceable(found.rule.grade) else Severity.WARNING,
            )


class Overload:
    """Wires of one size that the same loads overload: `total` and `limit` in A."""

    def __init__(
        self, wires: list[Wire], total: float, limit: float, drawing: Sequence[Consumer], rule: Policy
    ) -> None:
        self.wires, self.total, self.limit, self.drawing, self.rule = wires, total, limit, drawing, rule


def overloaded(
    flows: Flows,
    through: Mapping[int, list[Consumer]],
    rule: Policy,
    derating: float,
    *,
    one_fuse: bool = True,
) -> Iterator[Overload]:
    """Wires overloaded by their consumers; wires in line with the same load are one.

    one_fuse  leave out what several fuses feed together: their own wires and fuses are looked at, and how much of a
              vehicle is on at one time is nobody's to say
    """
    groups: dict[tuple[tuple[int, ...], object], Overload] = {}
    rows = flows.network.branches
    for branch, consumers in through.items():
        wire = rows[branch].owner
        assert isinstance(wire, Wire)
        if wire.size is None or (one_fuse and flows.feeds_fuses(branch, consumers)):
            continue
        # A starter is on for seconds, and its cable is sized by voltage drop.
        loads = [c for c in known(consumers) if c.part.kind != "starter" or rows[c.branch].role is Behaviour.COIL]
        limit = rule.capacity_a(wire.size) * derating
        if sum({consumer.branch: consumer.amperes for consumer in loads}.values()) <= limit:
            continue
        total, drawing = flows.worst(loads)
        if total > limit * (1 + 1e-9) and branch not in flows.meshed:
            key = (tuple(sorted(consumer.branch for consumer in drawing)), wire.size)
            if key in groups:
                groups[key].wires.append(wire)
            else:
                groups[key] = Overload([wire], total, limit, drawing, rule)
    yield from groups.values()


def basis_note(rule: Policy, derating: float) -> Note:
    """What the limit holds for."""
    factor = "" if derating == 1.0 else f", times {derating:g} (`{DERATING}`)"
    return Note(None, f"limit by {rule.title}{factor}: {rule.basis}")


def _named(wires: Sequence[Wire]) -> str:
    return f"wire{'s' if len(wires) > 1 else ''} {listing(wire.id for wire in wires)}"
