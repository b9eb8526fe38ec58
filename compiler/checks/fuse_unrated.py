"""A fuse or breaker without a rating, or a fusible link without a size."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks.base import Check, Subject
from grammar.finding import Finding, Severity

_RATED = ("fuse", "breaker")


class FuseUnrated(Check):
    """Page: pages/fuse-unrated.md."""

    name = "fuse-unrated"
    severity = Severity.WARNING
    family = "protection and feeds"

    def run(self, subject: Subject) -> Iterator[Finding]:
        for device in subject.variant.devices.values():
            if device.kind in _RATED and "current" not in device.ratings:
                lacks, says = "rating", "write it in amperes, as on the fuse: `15 A`"
            elif device.kind == "fusible-link" and device.size is None:
                lacks, says = "size", "write its size, as `0.8 mm2` or `18 AWG`"
            else:
                continue
            name = f"{device.kind.replace('-', ' ')} {device.id}"
            if "?" in device.words:
                # Said to be not known: no fault of the source, but the wires behind it cannot be judged.
                yield self.finding(device.at, f"the {lacks} of {name} is not known", mend=says, severity=Severity.NOTE)
            else:
                yield self.finding(
                    device.at, f"{name} has no {lacks}: nothing can be said of the wires it protects", mend=says
                )
