"""The one type of finding, from the parser to the terminal.

A finding is a value. It never says its own place or severity in its words; writers (terminal, JSON, SARIF, annotations)
know nothing of checks, checks know nothing of writers.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from grammar.source import Span


class Severity(Enum):
    """How much a finding weighs. Errors fail a run; warnings fail it under `--strict`; notes never do."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 for an error, 1 for a warning, 2 for a note."""
        return ("error", "warning", "note").index(self.value)


@dataclass(frozen=True, slots=True)
class Note:
    """A further place that belongs to a finding, with its own words. `at` may be None for a remark without a place."""

    at: Span | None
    says: str


@dataclass(frozen=True, slots=True)
class Finding:
    """Something the author should know.

    check     readable name, for example `dangling-cavity`
    severity  see `Severity`
    says      one sentence in trade words, without place and without severity
    at        primary place; None only when no source has anything to do with it
    notes     related places
    mend      how to mend it; empty when nothing can be proposed
    variant   id of the variant in which it goes wrong; empty when it goes wrong in any
    """

    check: str
    severity: Severity
    says: str
    at: Span | None
    notes: tuple[Note, ...] = ()
    mend: str = ""
    variant: str = ""


def in_reading_order(findings: Iterable[Finding]) -> list[Finding]:
    """Findings sorted by file, place and check, so that two runs print the same."""

    def key(finding: Finding) -> tuple[str, int, int, str, str]:
        if finding.at is None:
            return ("", 0, finding.severity.rank, finding.check, finding.says)
        return (finding.at.source.name, finding.at.start, finding.severity.rank, finding.check, finding.says)

    return sorted(findings, key=key)
