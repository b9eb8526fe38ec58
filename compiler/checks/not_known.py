"""What the sources do not say."""

from __future__ import annotations

import re
from collections.abc import Iterator

from compiler.checks._ends import end_span
from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.model.items import Circuit, Wire
from grammar.finding import Finding, Severity
from grammar.source import Span


class NotKnown(Check):
    """Page: pages/not-known.md."""

    name = "not-known"
    severity = Severity.NOTE
    family = "wires, sizes, colours"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant = subject.variant
        for circuit in variant.circuits.values():
            if circuit.unknown:
                yield self._circuit(circuit)
        for wire in variant.wires:
            if wire.unknown or wire.a.problem == "not-known" or wire.b.problem == "not-known":
                # What the circuit's line says of all its wires is said once, there.
                facts = [f for f in wire.unknown if f not in variant.circuits[wire.circuit].unknown]
                ends = [end_span(wire, end) for end in wire.ends if end.problem == "not-known"]
                if facts or ends:
                    yield self._wire(wire, facts, ends)
        for device in variant.devices.values():
            for name, word in device.words.items():
                if word.kind == "UNKNOWN":
                    what = "a rating" if name == "?" else f"the {name}"
                    at = Span(device.span.source, word.start, word.end)
                    yield self.finding(at, f"{what} of {device.id} is not known", mend="fill it in once it is known")

    def _circuit(self, circuit: Circuit) -> Finding:
        at = _fact_span(circuit.unknown[0], circuit.span) or circuit.at
        what = listing(f"the {fact}" for fact in circuit.unknown)
        return self._not_known(at, f"{what} of circuit {circuit.id}", len(circuit.unknown))

    def _wire(self, wire: Wire, facts: list[str], ends: list[Span]) -> Finding:
        what = ["both ends"] if len(ends) == 2 else ["one end"] if ends else []
        what += [f"the {fact}" for fact in facts]
        at = ends[0] if ends else _fact_span(facts[0], wire.span) or wire.at
        return self._not_known(at, f"{listing(what)} of wire {wire.id}", len(facts) + len(ends))

    def _not_known(self, at: Span, what: str, number: int) -> Finding:
        says = f"{what} {'is' if number == 1 else 'are'} not known"
        return self.finding(at, says, mend="fill it in once it is known" if number == 1 else "fill them in once known")


def _fact_span(fact: str, statement: Span) -> Span | None:
    """Where `colour ?` is written in a statement."""
    match = re.compile(rf"\b{fact}[ \t]+\?").search(statement.source.text, statement.start, statement.end)
    return statement._replace(start=match.start(), end=match.end()) if match else None
