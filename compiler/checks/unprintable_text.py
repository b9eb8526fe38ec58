"""Characters that the page font cannot set."""

from __future__ import annotations

import re
from collections.abc import Iterator

from compiler.checks._words import listing
from compiler.checks.base import Check, Subject
from compiler.fonts import is_mark, stand_in, troubles
from grammar.finding import Finding, Severity
from grammar.source import Source, Span

# A quoted text, or a comment: what stands in a comment is not printed.
_PIECE = re.compile(r'"(?:[^"\\\n]|\\.)*"|#[^\n]*')
_MOST = 5  # characters that are named


class UnprintableText(Check):
    """Page: pages/unprintable-text.md."""

    name = "unprintable-text"
    severity = Severity.WARNING
    family = "names and references"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        for source in subject.variant.sources:
            if not source.text.isascii() and troubles(source.text):
                yield from self._in(source)

    def _in(self, source: Source) -> Iterator[Finding]:
        for piece in _PIECE.finditer(source.text):
            found = "" if piece[0].startswith("#") else troubles(piece[0])
            if found:
                says = f"the font of the pages has no {listing(map(_named, found), _MOST)}"
                yield self.finding(Span(source, piece.start(), piece.end()), says, mend=_mend(found))


def _mend(found: str) -> str:
    if all(map(is_mark, found)):
        return "write it without the mark, which drawings on paper show behind its letter"
    return f"write it in Latin, Greek, Cyrillic or Hebrew letters; paper shows {stand_in()} instead"


def _named(char: str) -> str:
    return f"U+{ord(char):04X} over a letter" if is_mark(char) else f"{char} (U+{ord(char):04X})"
