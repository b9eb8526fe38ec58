"""Reports made by hand, for the writers: they must know nothing of checks."""

from __future__ import annotations

from grammar.finding import Finding, Note, Severity
from grammar.source import Source, Span
from loomwright.report import Report, Reported

TEXT = """\
connector C40 "Tailgate hinge" 10 cavities body -- tailgate
circuit 48 "Rear screen" 2.5 mm2 BK/WH in body {
  B  C12.G4 -- C40.7    3.1 m
}
"""
SOURCE = Source("fragments/rear-screen.loom", TEXT)


def span(words: str, source: Source = SOURCE) -> Span:
    """The first place of some words in a source."""
    start = source.text.index(words)
    return Span(source, start, start + len(words))


def finding(
    at: Span | None = None,
    says: str = "cavity C40.7 is wired on the body side only",
    *,
    severity: Severity = Severity.ERROR,
    check: str = "dangling-cavity",
    notes: tuple[Note, ...] = (),
    mend: str = "",
) -> Finding:
    """A finding; its words are not those of any real check."""
    return Finding(check, severity, says, at, notes, mend)


def report(*findings: Finding | Reported, variants: tuple[str, ...] = ("S4",), waived: int = 0) -> Report:
    """A report of findings, which go wrong in the first variant unless they say otherwise."""
    reported = tuple(f if isinstance(f, Reported) else Reported(f, variants[:1]) for f in findings)
    return Report(reported, variants, waived, 3, 0.25)
