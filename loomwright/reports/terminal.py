"""Findings for a person at a terminal: what is wrong, where, the line itself, and how to mend it.

On a terminal the text is wrapped to its width and coloured; in a pipe each sentence stays on one line, so that it can
be searched. Nothing from a source is ever taken for markup or for an order to the terminal.
"""

from __future__ import annotations

from typing import TextIO

from grammar.finding import Finding, Severity
from grammar.source import Span
from loomwright.report import Report, Reported
from loomwright.reports.clean import visible
from loomwright.reports.excerpt import excerpt
from loomwright.reports.styled import Line, Piece, cells, rendered, wrapped
from loomwright.reports.summary import all_of

_STYLES = {Severity.ERROR: "bold red", Severity.WARNING: "bold yellow", Severity.NOTE: "bold cyan"}
_WIDEST = 120  # longer lines are hard to read
_PIPE_WIDTH = 96
_PIPE_EXCERPT = 160


def write_findings(report: Report, out: TextIO, *, colour: bool, width: int | None) -> None:
    """Write the findings of a report.

    colour  whether escape sequences may be used
    width   cells across the terminal, or None when `out` is none
    """
    if not report.findings:
        return
    writer = _Writer(report, out, colour, width)
    for reported in report.findings:
        writer.write(reported)


class _Writer:
    def __init__(self, report: Report, out: TextIO, colour: bool, width: int | None) -> None:
        self.report = report
        self.out = out
        self.colour = colour
        self.wraps = width is not None
        self.width = min(max(width, 40), _WIDEST) if width is not None else _PIPE_WIDTH

    def write(self, reported: Reported) -> None:
        finding, variants = reported
        self._headline(finding)
        numbers = [at.position.line for at in (finding.at, *(note.at for note in finding.notes)) if at is not None]
        gutter = len(str(max(numbers, default=0)))
        if finding.at is not None:
            self._place(finding.at, "", gutter, finding.severity)
        for note in finding.notes:
            if note.at is not None:
                self._place(note.at, note.says, gutter, None)
            else:
                self._sentence("note: ", "dim", note.says)
        if variants and len(self.report.variants) > 1:
            self._sentence("in ", "dim", self._named(variants))
        if finding.mend:
            self._sentence("mend: ", "green", finding.mend)
        self.out.write("\n")

    def _named(self, variants: tuple[str, ...]) -> str:
        total = len(self.report.variants)
        if len(variants) == total:
            return all_of(total)
        return ("variant " if len(variants) == 1 else "variants ") + ", ".join(variants)

    def _headline(self, finding: Finding) -> None:
        """Severity and sentence on the left, the check's name on the right."""
        severity = f"{finding.severity.value}: "
        head = [Piece(severity, _STYLES[finding.severity]), *_words(finding.says, "bold")]
        name = Piece(finding.check, "dim")
        room = self.width - len(name.text) - 2
        lines = wrapped(head, room, self.width - len(severity)) if self.wraps else [head]
        gap = max(2, self.width - cells(lines[0]) - len(name.text))
        self._line([*lines[0], Piece(" " * gap), name])
        for line in lines[1:]:
            self._line([Piece(" " * len(severity)), *line])

    def _place(self, at: Span, says: str, gutter: int, severity: Severity | None) -> None:
        """Where it is, and the line with carets under the very stretch that is meant."""
        line, column = at.position
        where = [Piece("  "), Piece(f"{visible(at.source.name)}:{line}:{column}", "cyan" if severity else "dim cyan")]
        if says:
            where += [Piece("  "), *_words(says)]
        self._flow(where, 4)
        found = excerpt(at, (self.width if self.wraps else _PIPE_EXCERPT) - gutter - 5)
        self._line([Piece(f"  {found.number:>{gutter}} | ", "dim"), Piece(found.text)])
        carets = Piece("^" * found.carets, _STYLES[severity] if severity else "dim")
        self._line([Piece(f"  {' ' * gutter} | ", "dim"), Piece(" " * found.before), carets])

    def _sentence(self, label: str, style: str, words: str) -> None:
        self._flow([Piece("  "), Piece(label, style), *_words(words)], len(label) + 2)

    def _flow(self, line: Line, indent: int) -> None:
        """A line, wrapped on a terminal, its further lines indented."""
        first, *others = wrapped(line, self.width, self.width - indent) if self.wraps else [line]
        self._line(first)
        for other in others:
            self._line([Piece(" " * indent), *other])

    def _line(self, line: Line) -> None:
        self.out.write(rendered(line, self.colour).rstrip(" ") + "\n")


def _words(words: str, style: str = "") -> Line:
    """A sentence in which what stands between back quotes is set off."""
    line: Line = []
    for index, text in enumerate(visible(words).split("`")):
        if index:
            line.append(Piece("`", "dim"))
        if text:
            line.append(Piece(text, style if index % 2 == 0 else "bold"))
    return line
