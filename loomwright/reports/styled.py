"""Lines of styled text: pieces with a style each, wrapped by cells, rendered with or without colour."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from itertools import groupby
from typing import NamedTuple, TextIO

from rich.cells import cell_len

_TOKENS = re.compile(r" +|[^ ]+")


class Piece(NamedTuple):
    """Text of one style, named as rich names styles (`bold red`); empty for plain text."""

    text: str
    style: str = ""


Line = list[Piece]


def cells(line: Iterable[Piece]) -> int:
    """How many cells of a terminal a line takes."""
    return sum(cell_len(piece.text) for piece in line)


def rendered(line: Iterable[Piece], colour: bool) -> str:
    """The text of a line, with escape sequences if `colour`."""
    if not colour:
        return "".join(piece.text for piece in line)
    return "".join(_sequence(piece.style).format(piece.text) if piece.style else piece.text for piece in line)


@cache
def _sequence(style: str) -> _Sequence:
    from rich.color import ColorSystem
    from rich.style import Style

    before, _, after = Style.parse(style).render("\0", color_system=ColorSystem.STANDARD).partition("\0")
    return _Sequence(before, after)


class _Sequence(NamedTuple):
    before: str
    after: str

    def format(self, text: str) -> str:
        return f"{self.before}{text}{self.after}"


def wrapped(line: Line, first: int, others: int) -> list[Line]:
    """A line broken at blanks: `first` cells for the first line, `others` for the rest. A longer word stays whole."""
    if cells(line) <= first:
        return [line]
    lines: list[Line] = [[]]
    used, room = 0, first
    for blanks, word in _words(line):
        width = cells(word)
        if used and used + cell_len(blanks.text) + width > room:
            lines.append([])
            used, room = 0, others
        else:
            lines[-1].append(blanks)
            used += cell_len(blanks.text)
        lines[-1] += word
        used += width
    return [_joined(one) for one in lines]


def write_hanging(
    lines: Iterable[Line], out: TextIO, *, colour: bool, room: int | None, hanging: Callable[[Line], int]
) -> None:
    """Write lines; long ones go on below, as far in as `hanging` says.

    room  cells across, or None for lines as long as they need
    """
    for line in lines:
        indent = hanging(line)
        first, *others = wrapped(line, room, max(room - indent, 20)) if room else [line]
        whole = [first, *([Piece(" " * indent), *other] for other in others)]
        out.writelines(rendered(one, colour).rstrip() + "\n" for one in whole)


def _joined(line: Line) -> Line:
    """Neighbours of one style as one piece."""
    return [Piece("".join(p.text for p in same), style) for style, same in groupby(line, lambda piece: piece.style)]


def _words(line: Line) -> Iterator[tuple[Piece, Line]]:
    """Words, which may change their style on the way, each with the blanks before it."""
    blanks, word = Piece(""), Line()
    for piece in line:
        for text in _TOKENS.findall(piece.text):
            if text[0] != " ":
                word.append(Piece(text, piece.style))
                continue
            if word:
                yield blanks, word
                blanks, word = Piece(""), []
            blanks = Piece(blanks.text + text, piece.style)
    if word:
        yield blanks, word
