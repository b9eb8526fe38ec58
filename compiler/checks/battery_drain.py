"""Loads that draw on the battery while everything is off."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._loads import known, rounded, sum_note
from compiler.checks.base import Check, Subject
from compiler.network.electrical import number
from compiler.network.world import standing_hours
from grammar.finding import Finding, Note, Severity

SETTING = "standing-current"
_DEFAULT_A = 0.05
_HOURS_A_DAY = 24
# What is plugged in or not is no business of the wiring, and a machine that stands draws nothing.
_LEFT_OUT = ("outlet", "alternator")


class BatteryDrain(Check):
    """Page: pages/battery-drain.md."""

    name = "battery-drain"
    severity = Severity.WARNING
    family = "electrical behaviour"
    policies = (SETTING, "rated-voltage")
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        limit = number(subject.settings.policy, SETTING, _DEFAULT_A)
        if not subject.electrical.has_battery:
            return
        if not any(device.word("operated-by") == "key" for device in subject.variant.devices.values()):
            return  # nothing turns this off as a whole: it is no whole vehicle
        flows = subject.electrical.flows
        drawing = [c for c in known(flows.consumers) if c.part.kind not in _LEFT_OUT and flows.at_rest(c)]
        total = sum(consumer.amperes for consumer in drawing)
        if total <= limit * (1 + 1e-9):
            return
        greatest = max(drawing, key=lambda consumer: consumer.amperes)
        battery = next(d for d in subject.variant.devices.values() if d.kind == "battery")
        notes = [sum_note(drawing)]
        if capacity := next((p.ratings["capacity"] for p in battery.parts if "capacity" in p.ratings), None):
            days = standing_hours(capacity, total) / _HOURS_A_DAY
            notes.append(Note(battery.at, f"{battery.id} of {capacity:g} Ah would be empty in {days:.1f} days"))
        yield self.finding(
            greatest.device.at,
            f"with everything at rest {rounded(total)} flow from the battery, most of it through {greatest.name}:"
            f" {rounded(limit)} at most",
            notes=tuple(notes),
            mend="feed it behind a switch, or declare the position at rest first in the switch's `positions`",
        )
