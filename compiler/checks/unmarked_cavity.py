"""Cavities of an in-line connector of which the source says nothing."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks.base import Check, Subject
from compiler.model.items import Connector
from compiler.model.variant import Variant
from grammar.finding import Finding, Severity

MOST_SHOWN = 12


class UnmarkedCavity(Check):
    """Page: pages/unmarked-cavity.md."""

    name = "unmarked-cavity"
    severity = Severity.WARNING
    family = "cavities and connectors"

    def run(self, subject: Subject) -> Iterator[Finding]:
        idle = subject.usage.idle
        for connector in subject.variant.connectors.values():
            if not connector.is_inline or connector.spare_rest or connector.id in idle:
                continue
            names = _unmarked(subject.variant, connector)
            # Cavities that a wire names in vain are spoken of at the wire.
            names = [n for n in names if not subject.unread or f"{connector.id}.{n}" not in subject.unread.blurred]
            if names:
                yield self._finding(connector, names)

    def _finding(self, connector: Connector, names: list[str]) -> Finding:
        cavities = "cavity" if len(names) == 1 else "cavities"
        shown = ", ".join(names[:MOST_SHOWN])
        if len(names) > MOST_SHOWN:
            shown += f" and {len(names) - MOST_SHOWN} more"
        is_ = "is" if len(names) == 1 else "are"
        listed = " ".join(names) if len(names) <= MOST_SHOWN else "rest"
        return self.finding(
            connector.at,
            f"{cavities} {shown} of {connector.id} {is_} neither wired nor marked",
            mend=f"wire what is missing, or say `spare {listed}` or `plugged ...`",
        )


def _unmarked(variant: Variant, connector: Connector) -> list[str]:
    """Cavities that are wired on neither half and marked on neither."""
    wired = {point.terminal for point in variant.wired_points(connector.id)}
    return [c for c in connector.cavities if not (c in wired or c in connector.spare or c in connector.plugged)]


