"""One circuit in two colours."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from compiler.checks._ends import place_at
from compiler.checks.base import Check, Subject
from compiler.model.items import Circuit, Connector, Point, Wire
from compiler.model.variant import Variant
from compiler.standards.colours import ColourError, read_colour
from grammar.finding import Finding, Note, Severity
from grammar.source import Span


class _Own(NamedTuple):
    """The colour a circuit goes by, and where it is written."""

    colour: str
    at: Span
    whose: str


class ColourMismatch(Check):
    """Page: pages/colour-mismatch.md."""

    name = "colour-mismatch"
    severity = Severity.ERROR
    family = "wires, sizes, colours"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant = subject.variant
        told: set[str] = set()
        odd = [wire for wire in variant.wires if wire.own_colour and wire.colour and not wire.recoloured]
        go_by: dict[str, _Own | None] = {}
        for wire in odd:
            if wire.core:
                finding = self._against_core(variant, wire)
            else:
                if wire.circuit not in go_by:
                    go_by[wire.circuit] = _colour_of(variant, variant.circuits[wire.circuit])
                finding = self._against_circuit(wire, go_by[wire.circuit])
            if finding is not None:
                told.add(wire.id)
                yield finding
        for connector in variant.connectors.values():
            if connector.is_inline:
                yield from self._sides(variant, connector, told)

    def _against_circuit(self, wire: Wire, own: _Own | None) -> Finding | None:
        if own is None or own.colour == wire.colour:
            return None
        return self.finding(
            wire.colour_at,
            f"wire {wire.id} is {wire.colour}, but circuit {wire.circuit} is {own.colour}",
            notes=(Note(own.at, f"{own.whose} is {own.colour}"),),
            mend=f"write {own.colour}, or say why it differs: `recoloured \"...\"`",
        )

    def _against_core(self, variant: Variant, wire: Wire) -> Finding | None:
        """A wire that is a core has the core's colour; a colour written on its line as well must be the same."""
        at = wire.colour_at
        if at.source is not wire.span.source or not wire.span.start <= at.start < wire.span.end:
            return None  # the circuit's line says it
        try:
            written = read_colour(at.text, variant.colours).code
        except ColourError:
            return None
        if written == wire.colour:
            return None
        cable, _, name = wire.core.rpartition(".")
        return self.finding(
            at,
            f"wire {wire.id} is {written} here, but core {wire.core} is {wire.colour}",
            notes=(Note(variant.cables[cable].cores[name].at, "the core is declared here"),),
            mend="take the colour out: a wire has the colour of its core",
        )

    def _sides(self, variant: Variant, connector: Connector, told: set[str]) -> Iterator[Finding]:
        for cavity in connector.cavities:
            point = Point(connector.id, cavity, 1)
            far = variant.wires_at(point)
            near = variant.wires_at(Point(connector.id, cavity, 0)) if far else ()
            if not near or any(_explained(wire, told) for wire in (*near, *far)):
                continue
            if {wire.colour for wire in near}.isdisjoint(wire.colour for wire in far):
                first, second = sorted((near[0], far[0]), key=lambda wire: wire.span.start)
                half = 1 if second is far[0] else 0
                if first.circuit == second.circuit:
                    continue  # the circuit's own colour has spoken
                yield self.finding(
                    place_at(second, point._replace(half=half)),
                    f"{second.id} is {second.colour} on one side of cavity {connector.id}.{cavity}, "
                    f"{first.id} is {first.colour} on the other",
                    notes=(Note(place_at(first, point._replace(half=1 - half)), f"{first.id} comes from here"),),
                    mend="give both the same colour, or say why they differ: `recoloured \"...\"` on one of them",
                )


def _explained(wire: Wire, told: set[str]) -> bool:
    """Whether a wire's colour is not known, is explained, or has been spoken of."""
    return wire.colour is None or bool(wire.recoloured or wire.core) or wire.id in told


def _colour_of(variant: Variant, circuit: Circuit) -> _Own | None:
    """What the circuit's line says, or else the colour of most of its wires; of two equally frequent, the first."""
    if circuit.colour is not None:
        word = circuit.colour_written
        at = Span(circuit.at.source, word.start, word.end) if word else circuit.at
        return _Own(circuit.colour, at, f"circuit {circuit.id}")
    if circuit.colour_written is not None:
        return None  # a colour that cannot be read is a fault of its own
    plain = [w for w in variant.wires_of_circuit(circuit.id) if w.colour and not (w.recoloured or w.core)]
    if not plain:
        return None
    colour = Counter(wire.colour for wire in plain).most_common(1)[0][0]
    wire = next(wire for wire in plain if wire.colour == colour)
    return _Own(colour or "", wire.colour_at, f"wire {wire.id}")
