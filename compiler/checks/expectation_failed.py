"""An expectation that the network does not meet."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._misnamed import misnamed
from compiler.checks._told import Told
from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.model.items import Scenario
from grammar.finding import Finding, Note, Severity


class ExpectationFailed(Check):
    """Page: pages/expectation-failed.md."""

    name = "expectation-failed"
    severity = Severity.ERROR
    family = "electrical behaviour"
    policies = ("conductor-temperature", "rated-voltage")
    after_all = True

    def run(self, subject: Subject) -> Iterator[Finding]:
        wanted = [s for s in subject.variant.scenarios if s.kind == "expect"]
        if not wanted or not subject.electrical.has_battery:
            return
        told = Told(subject)
        for scenario in wanted:
            yield from self._judge(subject, scenario, told)

    def _judge(self, subject: Subject, scenario: Scenario, told: Told) -> Iterator[Finding]:
        from compiler.network.causes import involved
        from compiler.network.explain import path_words, why
        from compiler.network.meter import Meter
        from compiler.network.network import CannotSolve

        ran = subject.electrical.ran(scenario)
        if isinstance(ran, CannotSolve):
            # A name that stands for nothing is told where it is written; only what has no solution is news.
            if not misnamed(subject.variant, scenario):
                yield self.finding(scenario.at, f"`{scenario.title}` cannot be computed: {ran}")
            return
        meter = Meter(ran.settled)
        for outcome in ran.outcomes:
            if outcome.held or told.covers(involved(meter, outcome)):
                continue
            fact = outcome.fact
            lost = why(meter, outcome)
            path = path_words(meter, outcome)
            notes = [Note(loss.at, loss.says) for loss in lost]
            if path and lost:
                notes.append(Note(scenario.at, f"its way: {path}"))
            said = " ".join((fact.subject, *fact.words))
            yield self.finding(
                fact.at,
                f"with {_set(scenario)}, `{said}` does not hold: {fact.subject} reads {outcome.reading}",
                notes=tuple(notes),
                mend="mend the circuit, or the expectation if the vehicle is right",
            )


def _set(scenario: Scenario) -> str:
    """What was set, in words."""
    return listing(" ".join((fact.subject, *fact.words)) for fact in scenario.set) or "everything at rest"
