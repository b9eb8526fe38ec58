"""A wire in a harness that does not reach its end."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._ends import end_span
from compiler.checks.base import Check, Subject
from compiler.model.items import Connector, Splice, Wire
from grammar.finding import Finding, Note, Severity
from grammar.source import Span


class WrongHarness(Check):
    """Page: pages/wrong-harness.md."""

    name = "wrong-harness"
    severity = Severity.ERROR
    family = "cavities and connectors"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant = subject.variant
        wrong: dict[str, list[tuple[Wire, Connector | Splice, Span]]] = {}
        for end in subject.ends.adrift:
            connector = variant.connectors.get(end.item)
            # A harness that does not exist is reported where it is named.
            if end.end.problem in ("wrong-harness", "no-harness") and connector:
                if all(half in variant.harnesses for half in (*connector.halves, *filter(None, [end.wire.harness]))):
                    wrong.setdefault(end.wire.id, []).append((end.wire, connector, end.at))
        if any(splice.harness for splice in variant.splices.values()):
            for wire in variant.wires:
                for end_ in (wire.a, wire.b):
                    if end_.point is None or not (splice := variant.splices.get(end_.point.item)):
                        continue
                    if wire.harness and splice.harness and splice.harness != wire.harness:
                        if splice.harness in variant.harnesses and wire.harness in variant.harnesses:
                            wrong.setdefault(wire.id, []).append((wire, splice, end_span(wire, end_)))
        for found in wrong.values():
            yield self._finding(*found[0], found[1:])

    def _finding(
        self,
        wire: Wire,
        item: Connector | Splice,
        at: Span,
        others: list[tuple[Wire, Connector | Splice, Span]],
    ) -> Finding:
        notes = [Note(item.at, f"{item.id} is declared here")]
        notes += [Note(span, f"{other.id} is not in {wire.harness} either") for _, other, span in others if wire.harness]
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
