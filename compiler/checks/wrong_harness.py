"""A wire in a harness that does not reach its end."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from compiler.checks._ends import place_at
from compiler.checks.base import Check, Subject
from compiler.model.items import Connector, Point, Splice, Wire
from grammar.finding import Finding, Note, Severity
from grammar.source import Span


class _Misplaced(NamedTuple):
    """What a wire ends at and its harness does not reach, and where that end is written."""

    item: Connector | Splice
    at: Span


class WrongHarness(Check):
    """Page: pages/wrong-harness.md."""

    name = "wrong-harness"
    severity = Severity.ERROR
    family = "cavities and connectors"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant = subject.variant
        known = variant.harnesses
        wrong: dict[Wire, list[_Misplaced]] = {}
        for end in subject.ends.adrift:
            connector = variant.connectors.get(end.item)
            if end.end.problem not in ("wrong-harness", "no-harness") or connector is None:
                continue
            # A harness that does not exist is reported where it is named.
            if known.keys() >= {*connector.halves, end.wire.harness or connector.halves[0]}:
                wrong.setdefault(end.wire, []).append(_Misplaced(connector, end.at))
        for splice in variant.splices.values():
            point = Point(splice.id, "")
            for wire in variant.wires_at(point) if splice.harness in known else ():
                if wire.harness != splice.harness and wire.harness in known:
                    wrong.setdefault(wire, []).append(_Misplaced(splice, place_at(wire, point)))
        for wire, misplaced in wrong.items():
            yield self._finding(wire, *misplaced)

    def _finding(self, wire: Wire, first: _Misplaced, *others: _Misplaced) -> Finding:
        item, at = first
        notes = [Note(item.at, f"{item.id} is declared here")]
        for other in others:
            says = f"{other.item.id} is not in {wire.harness} either" if wire.harness else f"nor for {other.item.id}"
            notes.append(Note(other.at, says))
        if isinstance(item, Splice):
            says = f"wire {wire.id} is in harness {wire.harness}, but splice {item.id} is in {item.harness}"
            mend = f"say `in {item.harness}`, or end the wire at a splice of {wire.harness}"
        elif wire.harness:
            a, b = item.halves
            says = f"wire {wire.id} is in harness {wire.harness}, but connector {item.id} joins {a} and {b}"
            mend = f"say `in {a}` or `in {b}`, or end the wire elsewhere"
        else:
            a, b = item.halves
            says = f"wire {wire.id} does not say its harness, so its half of {item.id} is not known"
            mend = f"say `in {a}` or `in {b}` on the wire, or on the circuit's line for all its wires"
        return self.finding(at, says, notes=tuple(notes), mend=mend)
