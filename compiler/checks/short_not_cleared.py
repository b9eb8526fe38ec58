"""A fuse that a dead short at the far end of its circuit does not open soon enough."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._loads import rounded
from compiler.checks._words import amperes, listing
from compiler.checks.base import Check, Subject
from compiler.network.electrical import number
from compiler.network.shorts import FarShort, far_shorts, needed
from compiler.standards.fuses import OpeningLimit, fuse_type
from compiler.standards.grades import enforceable
from grammar.finding import Finding, Note, Severity

SETTING = "short-clearing-time"


class ShortNotCleared(Check):
    """Page: pages/short-not-cleared.md."""

    name = "short-not-cleared"
    severity = Severity.ERROR
    family = "electrical behaviour"
    policies = (SETTING, "conductor-temperature")
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        seconds = number(subject.settings.policy, SETTING, 5.0)
        if not subject.electrical.has_battery:
            return
        groups: dict[object, list[tuple[FarShort, OpeningLimit]]] = {}
        for short in far_shorts(subject.electrical.flows):
            limit = needed(short, seconds)
            if limit is not None and short.amperes < limit.percent / 100 * short.rating_a:
                groups.setdefault(_cause(short), []).append((short, limit))
        for group in groups.values():
            # Fuses behind one wire, or before one way back, that lets no more through are one fault: it is told once.
            short, limit = min(group, key=lambda one: one[0].amperes / one[0].rating_a)
            yield self._finding(short, limit, [other.device.id for other, _ in group if other is not short])

    def _finding(self, short: FarShort, limit: OpeningLimit, others: list[str]) -> Finding:
        device = short.device
        last = short.wires[-1]
        wanted = limit.percent / 100 * short.rating_a
        source = fuse_type(device.word("type")).source
        also = [Note(None, f"for the same reason too little for {listing(others)}")] if others else []
        return self.finding(
            device.at,
            f"a dead short at the end of {last.id} draws {rounded(short.amperes)}: fuse {device.id} of"
            f" {amperes(short.rating_a)} needs {rounded(wanted)} to open within {limit.max_s:g} s",
            notes=(
                Note(
                    last.at, f"the loop has {short.ohm:.3g} ohm, the wires {listing(w.id for w in short.wires)} in it"
                ),
                *also,
                Note(None, f"opening time at {limit.percent:g} % of the rating: {source}"),
            ),
            mend="take thicker wire, or a smaller fuse",
            severity=None if enforceable(limit.grade) else Severity.WARNING,
        )


def _cause(short: FarShort) -> object:
    """What most of the loop's resistance lies in: one wire, the way back, or nothing that other fuses share."""
    if short.most is not None:
        return id(short.most)
    return "return" if short.return_ohm > short.ohm / 2 else id(short)
