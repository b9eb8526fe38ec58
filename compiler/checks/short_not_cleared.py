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
        for short in far_shorts(subject.electrical.flows):
            limit = needed(short, seconds)
            if limit is not None and short.amperes < limit.percent / 100 * short.rating_a:
                yield self._finding(short, limit)

    def _finding(self, short: FarShort, limit: OpeningLimit) -> Finding:
        device = short.device
        last = short.wires[-1]
        wanted = limit.percent / 100 * short.rating_a
        source = fuse_type(device.word("type")).source
        return self.finding(
            device.at,
            f"a dead short at the end of {last.id} draws {rounded(short.amperes)}: fuse {device.id} of"
            f" {amperes(short.rating_a)} needs {rounded(wanted)} to open within {limit.max_s:g} s",
            notes=(
                Note(
                    last.at, f"the loop has {short.ohm:.3g} ohm, the wires {listing(w.id for w in short.wires)} in it"
                ),
                Note(None, f"opening time at {limit.percent:g} % of the rating: {source}"),
            ),
            mend="take thicker wire, or a smaller fuse",
            severity=None if enforceable(limit.grade) else Severity.WARNING,
        )
