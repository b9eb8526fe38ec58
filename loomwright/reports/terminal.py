"""Findings for a person at a terminal: what is wrong, where, the line itself, and how to mend it.

On a terminal the text is wrapped to its width and coloured; in a pipe each sentence stays on one line, so that it can be
searched. Nothing from a source is ever taken for markup or for an order to the terminal.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TextIO

from grammar.finding import Finding, Severity
from loomwright.report import Report, Reported
from loomwright.reports.clean import visible

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

    from grammar.source import Span

_STYLES = {Severity.ERROR: "bold red", Severity.WARNING: "bold yellow", Severity.NOTE: "bold cyan"}
_WIDEST = 120  # longer lines are hard to read
_PIPE_WIDTH = 96


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
        head += f" in {len(report.wrong_variants)} of {total} variants"
    read = _plural(report.files, "file") if total == 0 else f"{_plural(total, 'variant')}, {_plural(report.files, 'file')}"
    waived = f"; {report.waived} waived" if report.waived else ""
    return f"{head}{waived} ({read}, {report.seconds:.2f} s)"


def _plural(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


class _Writer:
    def __init__(self, report: Report, out: TextIO, colour: bool, width: int | None) -> None:
        from rich.console import Console

        self.report = report
        self.wraps = width is not None
        self.width = min(max(width, 40), _WIDEST) if width is not None else _PIPE_WIDTH
        self.console: Console = Console(
            file=out,
            force_terminal=colour,
            no_color=not colour,
            color_system="standard" if colour else None,
            width=self.width if self.wraps else 100_000,
            highlight=False,
            markup=False,
            emoji=False,
            legacy_windows=False,
        )

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
                self._sentence("note", note.says)
        if variants and len(self.report.variants) > 1:
            self._sentence("in", self._named(variants))
        if finding.mend:
            self._sentence("mend", finding.mend)
        self.console.print()

    def _named(self, variants: tuple[str, ...]) -> str:
        total = len(self.report.variants)
        if len(variants) == total:
            return f"all {total} variants"
        return ("variant " if len(variants) == 1 else "variants ") + ", ".join(variants)

    def _headline(self, finding: Finding) -> None:
        """Severity and sentence on the left, the check's name on the right."""
        from rich.text import Text

        head = Text(f"{finding.severity.value}: ", style=_STYLES[finding.severity], end="")
        head.append_text(self._words(finding.says, "bold"))
        name = Text(finding.check, style="dim")
        if not self.wraps:
            gap = max(2, self.width - head.cell_len - name.cell_len)
            self.console.print(Text.assemble(head, " " * gap, name), soft_wrap=True)
            return
        indent = " " * (len(finding.severity.value) + 2)
        first, *rest = self._wrapped(head, self.width - name.cell_len - 2, indent)
        gap = self.width - first.cell_len - name.cell_len
        self._line(Text.assemble(first, " " * gap, name))
        for line in rest:
            self._line(line)

    def _wrapped(self, text: Text, room: int, indent: str) -> list[Text]:
        """Lines of `text`, the second and further ones indented and free to use the full width."""
        from rich.text import Text

        lines = text.wrap(self.console, max(room, 24))
        if len(lines) <= 1:
            return list(lines) or [Text()]
        first = lines[0]
        rest = text[len(first) :]
        rest.plain = rest.plain  # a slice keeps the blanks at which the line was broken
        while rest.plain.startswith(" "):
            rest = rest[1:]
        first.rstrip()
        wrapped = rest.wrap(self.console, max(self.width - len(indent), 24))
        return [first, *(Text.assemble(indent, line) for line in wrapped)]

    def _place(self, at: Span, says: str, gutter: int, severity: Severity | None) -> None:
        """Where it is, and the line with carets under the very stretch that is meant."""
        from rich.text import Text

        from loomwright.reports.excerpt import excerpt

        line, column = at.position
        where = Text(f"  {visible(at.source.name)}:{line}:{column}", style="cyan" if severity else "dim cyan")
        if says:
            where.append_text(Text("  ", style="default").append_text(self._words(says)))
        self._flow(where, "    ")
        found = excerpt(at, self.width - gutter - 5)
        bar = Text("|", style="dim")
        self._line(Text.assemble("  ", (f"{found.number:>{gutter}}", "dim"), " ", bar, " ", found.text))
        carets = Text("^" * found.carets, style=_STYLES[severity] if severity else "dim")
        self._line(Text.assemble("  ", " " * gutter, " ", bar, " ", " " * found.before, carets))

    def _sentence(self, label: str, words: str) -> None:
        from rich.text import Text

        text = Text(f"  {label}: " if label != "in" else "  in ", style="green" if label == "mend" else "dim", end="")
        text.append_text(self._words(words))
        self._flow(text, " " * (len(label) + 4))

    def _words(self, words: str, style: str = "") -> Text:
        """A sentence in which what stands between back quotes is set off."""
        from rich.text import Text

        text = Text(style="default")
        for index, piece in enumerate(visible(words).split("`")):
            if index:
                text.append("`", style="dim")
            text.append(piece, style=style if index % 2 == 0 else "bold")
        return text

    def _flow(self, text: Text, indent: str) -> None:
        if not self.wraps:
            self.console.print(text, soft_wrap=True)
            return
        for line in self._wrapped(text, self.width, indent):
            self._line(line)

    def _line(self, text: Text) -> None:
        self.console.print(text, soft_wrap=True, no_wrap=True, crop=False, overflow="ignore")
