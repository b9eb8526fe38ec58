"""A cavity that the connector does not have."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.assembly.names import alike
from compiler.checks.base import Check, Subject
from compiler.model.items import Connector
from grammar.finding import Finding, Note, Severity
from grammar.source import Span


class CavityOutOfRange(Check):
    """Page: pages/cavity-out-of-range.md."""

    name = "cavity-out-of-range"
    severity = Severity.ERROR
    family = "cavities and connectors"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        for end in subject.ends.adrift:
            connector = subject.variant.connectors.get(end.item)
            # A connector without any cavity does not say how many it has, which is reported there.
            if end.end.problem == "out-of-range" and connector and connector.cavities:
                if end.terminal:
                    yield self._no_such(connector, (end.terminal,), end.at, "")
                else:
                    says = f"wire {end.wire.id} does not say at which cavity of {connector.id} it ends"
                    yield self.finding(end.at, says, mend=f"{_cavities_of(connector)}; write `{connector.id}.CAVITY`")
        for connector in subject.variant.connectors.values():
            if connector.listed and connector.cavities:
                yield from self._listed(connector)

    def _listed(self, connector: Connector) -> Iterator[Finding]:
        known = frozenset(connector.cavities)
        beyond: dict[Span, list[str]] = {}
        for name, at in connector.listed:
            if name not in known:
                beyond.setdefault(at, []).append(name)
        for at, names in beyond.items():
            marks = (("spare", connector.spare), ("plugged", connector.plugged), ("doubled", connector.doubled))
            mark = next(word for word, marked in marks if names[0] in marked)
            yield self._no_such(connector, tuple(names), at, f" to mark `{mark}`")

    def _no_such(self, connector: Connector, names: tuple[str, ...], at: Span, purpose: str) -> Finding:
        shown = names[0] if len(names) == 1 else f"{names[0]} to {names[-1]}"
        near = alike(names[0], connector.cavities) if len(names) == 1 else ""
        return self.finding(
            at,
            f"connector {connector.id} has no cavity {shown}{purpose}",
            notes=(Note(connector.at, f"{connector.id} is declared here"),),
            mend=_cavities_of(connector) + (f"; did you mean {near}?" if near else ""),
        )


def _cavities_of(connector: Connector) -> str:
    first, last = connector.cavities[0], connector.cavities[-1]
    return f"its cavities are {first} to {last}" if first != last else f"its only cavity is {first}"
