"""One line of a source with the stretch that a finding means, measured in the cells of a terminal."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from itertools import accumulate
from typing import NamedTuple

from rich.cells import cell_len

from grammar.source import Span
from loomwright.reports.clean import visible

TAB = 4
_CUT = "…"


class Excerpt(NamedTuple):
    """A line as shown: its number, its text, and where the carets go (cells before them, and how many)."""

    number: int
    text: str
    before: int
    carets: int


def excerpt(span: Span, room: int) -> Excerpt:
    """The line in which `span` begins, at most `room` cells wide; a longer one is cut around the span.

    Tabs become blanks, wide characters count for two cells, and characters that would steer the terminal are shown.
    A span that runs over several lines is marked to the end of its first.
    """
    number, column = span.position
    line = span.source.line(number)
    first = min(column - 1, len(line))
    last = min(first + max(span.end - span.start, 1), max(len(line), first + 1))
    if line.isascii() and line.isprintable() and max(len(line), first + 1) <= room:
        return Excerpt(number, line.rstrip(), first, last - first)
    shown = _cells(line)
    before = sum(cell_len(text) for text in shown[:first])
    carets = max(1, sum(cell_len(text) for text in shown[first:last]))
    total = sum(cell_len(text) for text in shown)
    if max(total, before + 1) <= room:
        return Excerpt(number, "".join(shown).rstrip(), before, carets)
    return _cut(number, shown, before, carets, room)


def _cells(line: str) -> list[str]:
    """What is shown for each character of a line."""
    shown: list[str] = []
    at = 0
    for character in line:
        text = " " * (TAB - at % TAB) if character == "\t" else visible(character)
        at += cell_len(text)
        shown.append(text)
    return shown


def _cut(number: int, shown: list[str], before: int, carets: int, room: int) -> Excerpt:
    """A window of `room` cells around the span; a mark stands where the line goes on beyond it."""
    starts = list(accumulate((cell_len(text) for text in shown), initial=0))
    lead = max(min(room // 2, room - carets - 2), 8)  # what stands before the span tells where one is
    left = 0 if before + carets < room else max(0, before - lead)
    first = bisect_left(starts, left)
    width = room - 1 - (1 if first else 0)
    last = max(bisect_right(starts, starts[first] + width) - 1, first)
    text = (_CUT if first else "") + "".join(shown[first:last]) + (_CUT if last < len(shown) else "")
    offset = before - starts[first] + (1 if first else 0)
    return Excerpt(number, text.rstrip(), offset, max(1, min(carets, room - offset)))
