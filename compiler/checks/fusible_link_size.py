"""A fusible link that is not four gauge numbers smaller than its wire."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._protecting import wires_at_load
from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.circuit.feeds import Protection
from compiler.model.items import Wire
from compiler.standards.links import Fit, expected_link, link_fit, link_rule
from compiler.standards.sizes import Size
from grammar.finding import Finding, Note, Severity

_OUTCOME: dict[Fit, str] = {
    "too thick": "too thick for {}: the wire burns before the link opens",
    "too thin": "too thin for {}: it can open in use",
}


class FusibleLinkSize(Check):
    """Page: pages/fusible-link-size.md."""

    name = "fusible-link-size"
    severity = Severity.WARNING
    family = "protection and feeds"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        for protection in subject.feeds.protections:
            link = protection.device.size
            if protection.part.kind != "fusible-link" or link is None:
                continue
            sized = [(wire, wire.size) for wire in wires_at_load(subject.graph, protection) if wire.size is not None]
            if not sized:
                continue
            # The thinnest wire is the one that burns: a link that suits it suits all.
            size = min((size for _, size in sized), key=lambda size: size.area_mm2)
            fit = link_fit(link, size)
            if fit != "fits":
                wires = [wire for wire, own in sized if own == size]
                yield self._finding(protection, link, wires, size, fit)

    def _finding(self, protection: Protection, link: Size, wires: list[Wire], size: Size, fit: Fit | None) -> Finding:
        device = protection.device
        noun = "wire" if len(wires) == 1 else "wires"
        what = f"{noun} {listing(wire.id for wire in wires)} of {size}"
        if fit is None:
            says = f"fusible link {device.id} of {link} cannot be set against {what}: the sizes are of two systems"
            mend = f"give both in one size system; a link for {size} is {expected_link(size)}"
        else:
            says = f"fusible link {device.id} of {link} is {_OUTCOME[fit].format(what)}"
            mend = f"make the link {expected_link(size)}"
        rule = Note(None, f"rule: {link_rule().source}")
        return self.finding(
            device.at, says, notes=(*(Note(wire.at, f"{wire.id}, {size}") for wire in wires), rule), mend=mend
        )
