"""A core that two wires use, or none."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks.base import Check, Subject
from compiler.model.items import Cable, Wire
from grammar.finding import Finding, Note, Severity
from grammar.source import Span


class CableCore(Check):
    """Page: pages/cable-core.md."""

    name = "cable-core"
    severity = Severity.ERROR
    family = "wires, sizes, colours"

    def run(self, subject: Subject) -> Iterator[Finding]:
        variant = subject.variant
        if not variant.cables:
            return
        users: dict[str, list[Wire]] = {}
        for wire in variant.wires:
            if wire.core:
                users.setdefault(wire.core, []).append(wire)
        for cable in variant.cables.values():
            # A cable without any wire is unused as a whole, which another check says.
            if cable.id not in subject.usage.idle:
                yield from self._cable(cable, users)

    def _cable(self, cable: Cable, users: dict[str, list[Wire]]) -> Iterator[Finding]:
        for core in cable.cores.values():
            what = "shield" if core.is_shield else "core"
            wires = list({wire.id: wire for wire in reversed(users.get(f"{cable.id}.{core.name}", ()))}.values())[::-1]
            if not wires and not core.spare:
                yield self.finding(
                    core.at,
                    f"{what} {core.name} of cable {cable.id} is used by no wire",
                    mend=f"say `core {cable.id}.{core.name}` on its wire, or mark it spare: "
                    f"`{what} {core.name} spare`",
                    severity=Severity.WARNING,
                )
            elif wires and core.spare:
                yield self.finding(
                    _core_span(wires[0]),
                    f"{what} {core.name} of cable {cable.id} is marked spare, and wire {wires[0].id} uses it",
                    notes=(Note(core.at, "marked here"),),
                    mend="take `spare` out, or give the wire another core",
                )
            for wire in wires[1:]:
                yield self.finding(
                    _core_span(wire),
                    f"{what} {core.name} of cable {cable.id} is wire {wires[0].id} already and cannot be {wire.id} too",
                    notes=(Note(_core_span(wires[0]), f"{wires[0].id} takes it here"),),
                    mend="give one of the two wires another core",
                )


def _core_span(wire: Wire) -> Span:
    """Where a wire says which core it is."""
    text = wire.span.source.text
    start = text.find(wire.core, text.find("core", wire.at.end, wire.span.end), wire.span.end)
    return Span(wire.span.source, start, start + len(wire.core))
