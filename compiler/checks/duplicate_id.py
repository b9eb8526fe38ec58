"""The same id for two things."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._ends import label_span
from compiler.checks.base import Check, Subject
from compiler.model.items import Device, Wire
from compiler.model.variant import Duplicate, Variant
from grammar.finding import Finding, Note, Severity
from grammar.source import Span


class DuplicateId(Check):
    """Page: pages/duplicate-id.md. Two splices of one id are `duplicate-splice`."""

    name = "duplicate-id"
    severity = Severity.ERROR
    family = "names and references"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant = subject.variant
        for twice in variant.duplicates:
            if not twice.sort == twice.first_sort == "splice":
                yield self._declared(variant, twice)
        yield from self._wires(variant)
        yield from self._slots(variant)

    def _declared(self, variant: Variant, twice: Duplicate) -> Finding:
        if twice.sort == twice.first_sort:
            says = f"{twice.sort} {twice.id} is declared twice"
        else:
            says = f"{twice.id} is a {twice.first_sort} already and cannot be a {twice.sort} too"
        mend = "give one of the two another id"
        if twice.second.source is variant.header.at.source and twice.first.source is not twice.second.source:
            # The fragment's item is most likely meant to give way.
            mend += f", or write `replace {_opening(twice.dropped)}` if this one takes the place of the other"
        return self.finding(twice.second, says, notes=(Note(twice.first, "declared here first"),), mend=mend)

    def _wires(self, variant: Variant) -> Iterator[Finding]:
        if len(variant.wire_by_id) == len(variant.wires):
            return
        first: dict[str, Wire] = {}
        for wire in variant.wires:
            known = first.setdefault(wire.id, wire)
            if known is wire:
                continue
            if known.circuit == wire.circuit:
                says = f"circuit {wire.circuit} has two segments {wire.segment}"
                mend = f"give one another letter, or write `replace {wire.segment}` if this one takes its place"
            else:
                says = f"wire {wire.id} of circuit {wire.circuit} has the id of a wire of circuit {known.circuit}"
                mend = "give one of the two another segment letter"
            yield self.finding(label_span(wire), says, notes=(Note(label_span(known), "given here first"),), mend=mend)

    def _slots(self, variant: Variant) -> Iterator[Finding]:
        taken: dict[tuple[str, str], Device] = {}
        for device in variant.devices.values():
            if not device.block or not device.word("slot") or device.words["slot"].kind == "UNKNOWN":
                continue
            slot = device.word("slot")
            known = taken.setdefault((device.block, slot), device)
            if known is not device:
                yield self.finding(
                    _slot_span(device),
                    f"slot {slot} of {device.block} holds {known.id} already and cannot hold {device.id} too",
                    notes=(Note(_slot_span(known), f"{known.id} is put there here"),),
                    mend="give one of the two another slot",
                )


def _slot_span(device: Device) -> Span:
    word = device.words["slot"]
    return Span(device.span.source, word.start, word.end)


def _opening(statement: Span) -> str:
    """The first two words of a statement: `relay K7`."""
    return " ".join(statement.text.split(None, 2)[:2])
