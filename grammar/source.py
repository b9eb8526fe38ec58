"""Source text and places in it: offsets inside, lines and columns only when something is shown."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from typing import NamedTuple


@dataclass(frozen=True, slots=True, eq=False)
class Source:
    """One file as read.

    `name` is the path shown to people (relative to the project folder, forward slashes); `text` the whole text.
    Two sources are the same only if they are the same object.
    """

    name: str
    text: str
    _starts: list[int] = field(default_factory=list, repr=False)

    def _line_starts(self) -> list[int]:
        if not self._starts:
            # Filled on the first use: a clean run never asks for a line number.
            starts = [0]
            find, at = self.text.find, 0
            while (at := find("\n", at) + 1) > 0:
                starts.append(at)
            self._starts[:] = starts  # in one step: other threads may be here too
        return self._starts

    def position(self, offset: int) -> Position:
        """Line and column (both from 1, column in characters) of an offset."""
        starts = self._line_starts()
        line = bisect_right(starts, offset)
        return Position(line, offset - starts[line - 1] + 1)

    def line(self, number: int) -> str:
        """The text of line `number` (from 1) without its line end; empty beyond the last line."""
        starts = self._line_starts()
        if not 1 <= number <= len(starts):
            return ""
        end = starts[number] if number < len(starts) else len(self.text)
        return self.text[starts[number - 1] : end].rstrip("\r\n")


class Position(NamedTuple):
    """A line and a column, both counted from 1."""

    line: int
    column: int


class Span(NamedTuple):
    """A stretch of one source: offsets `start` to `end` (end not included)."""

    source: Source
    start: int
    end: int

    @property
    def position(self) -> Position:
        return self.source.position(self.start)

    @property
    def end_position(self) -> Position:
        return self.source.position(self.end)

    @property
    def text(self) -> str:
        return self.source.text[self.start : self.end]

    def __str__(self) -> str:
        line, column = self.position
        return f"{self.source.name}:{line}:{column}"
