"""The last line of a run. Apart from the writer of findings, so that a clean run need not load it."""

from __future__ import annotations

from grammar.finding import Severity
from loomwright.report import Report


def summary(report: Report) -> str:
    """The last line of a run: counts, variants, waived findings, time."""
    parts = [
        _plural(count, severity.value)
        for severity in Severity
        if (count := report.count(severity)) or (severity is Severity.ERROR and report.findings)
    ]
    total = len(report.variants)
    head = ", ".join(parts) or "no findings"
    if report.wrong_variants and total > 1:
        wrong = len(report.wrong_variants)
        head += f" in {all_of(total)}" if wrong == total else f" in {wrong} of {total} variants"
    read = _plural(report.files, "file")
    if total:
        read = f"{_plural(total, 'variant')}, {read}"
    waived = f"; {report.waived} waived" if report.waived else ""
    return f"{head}{waived} ({read}, {report.seconds:.2f} s)"


def all_of(variants: int) -> str:
    """`both variants`, `all 14 variants`."""
    return "both variants" if variants == 2 else f"all {variants} variants"


def _plural(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"
