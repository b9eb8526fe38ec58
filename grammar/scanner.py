"""A broken text cut into statements by its braces, quotes, comments and line ends alone.

Used only after the parser got stuck: the pieces are then read one by one. Nothing here knows what a statement means.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from enum import Enum

from grammar.engine import NESTING
from grammar.limits import FINDINGS
from grammar.tree import Word


class Trouble(Enum):
    """What can be wrong with braces and quotes."""

    OPEN_QUOTE = "a quote that is not closed on its line"
    OPEN_BLOCK = "a block that is never closed"
    STRAY_BRACE = "a closing brace that closes nothing"
    NO_HEAD = "a block without a statement before it"
    OWN_LINE = "an opening brace on a line of its own"
    GLUED = "a statement right behind a closing brace"
    TOO_DEEP = "a block deeper than the limit"


@dataclass(slots=True, eq=False)
class Piece:
    """One statement with its block.

    start, end  from its first character to the end of its last word or brace
    head_end    end of what stands before the block
    open        offset of the block's `{`, or -1
    close       offset of the block's `}`; for a block never closed, where it ends; -1 without a block
    inner       statements in the block
    odd         something in it is wrong with braces or quotes: cannot be read as a whole
    troubles    what is wrong with this very piece: kind and offset
    """

    start: int
    end: int = -1
    head_end: int = -1
    open: int = -1
    close: int = -1
    inner: list[Piece] = field(default_factory=list)
    odd: bool = False
    troubles: list[tuple[Trouble, int]] = field(default_factory=list)
    column: int = 0  # of the first character of its line, for judging by indentation


@dataclass(slots=True, eq=False)
class Scan:
    """All pieces at the top level, the comments, how many braces did not match, and whether the end was left out.

    The end is left out when more is wrong than anybody will be told.
    """

    pieces: list[Piece]
    comments: list[Word]
    unmatched: int = 0
    cut: bool = False


_TOKEN = re.compile(
    r"""(?P<blank>[ \t\r\f\ufeff]+|\\\r?\n)
    | (?P<word>[^\s"#{};\\]+)
    | (?P<separator>[\n;])
    | (?P<text>"(?:[^"\\\n]|\\[^\n])*")
    | (?P<quote>"[^\n]*)
    | (?P<brace>[{}])
    | (?P<comment>\#[^\n]*)
    | (?P<other>.)""",
    re.VERBOSE | re.DOTALL,
)
_BRACE_AT_END = re.compile(r"\{[ \t\r]*(?P<comment>#[^\"\n]*)?$")


def scan(text: str) -> Scan:
    """Cut `text` into statements.

    Braces are matched as written. If they do not match, they are matched again by indentation, which finds the place of
    a forgotten brace in a text that is laid out well; the better of the two counts.
    """
    plain = _Scanner(text, by_indentation=False).run()
    if not plain.unmatched or plain.cut:
        return plain
    judged = _Scanner(text, by_indentation=True).run()
    return judged if judged.unmatched <= plain.unmatched else plain


class _Scanner:
    def __init__(self, text: str, *, by_indentation: bool) -> None:
        self.text = text
        self.by_indentation = by_indentation
        self.result = Scan([], [])
        self.around: list[Piece] = []  # the statements whose blocks are open
        self.current: Piece | None = None
        self.line_start = 0
        self.fresh = True  # nothing but blanks since the line began
        self.after_block = False
        self.wrong = 0
        self.buried = 0  # braces open inside a block that is too deep; nothing in there is kept

    def run(self) -> Scan:
        for match in _TOKEN.finditer(self.text):
            if self.wrong > FINDINGS:
                self.result.cut = True
                break
            kind, start, end = match.lastgroup, match.start(), match.end()
            if kind == "blank":
                if match[0].endswith("\n"):
                    self.line_start = end
                continue
            if kind == "comment":
                self.result.comments.append(Word("COMMENT", match[0], start, end))
            elif kind == "separator":
                if not self.goes_on():
                    self.finish()
                if match[0] == "\n":
                    self.line_start, self.fresh = end, True
                continue
            elif kind == "brace":
                (self.opening if match[0] == "{" else self.closing)(start)
            elif kind == "quote":
                self.quote(start, end)
            elif kind != "other" or not match[0].isspace():
                self.word(start, end)
            self.fresh = False
        self.finish()
        while self.around:
            self.never_closed(len(self.text))
        return self.result

    # ---- words ----------------------------------------------------------------------------------------------------

    def word(self, start: int, end: int) -> None:
        if self.buried:
            return
        if self.fresh and self.by_indentation and self.current is None:
            while self.around and start - self.line_start <= self.around[-1].column:
                self.never_closed(start)
        piece = self.current or self.begin(start)
        piece.end = end

    def begin(self, start: int) -> Piece:
        line = self.text[self.line_start : start]
        piece = self.current = Piece(start, start, column=len(line) - len(line.lstrip()))
        if self.after_block:
            self.trouble(piece, Trouble.GLUED, start)
        self.siblings().append(piece)
        return piece

    def finish(self) -> None:
        self.current, self.after_block = None, False

    def goes_on(self) -> bool:
        """A list of facts goes on behind a comma at the end of its line."""
        piece = self.current
        if piece is None or self.text[piece.end - 1] != ",":
            return False
        return self.text.startswith(("set", "then", "seen"), piece.start)

    def siblings(self) -> list[Piece]:
        return self.around[-1].inner if self.around else self.result.pieces

    def trouble(self, piece: Piece, kind: Trouble, at: int) -> None:
        self.wrong += 1
        piece.troubles.append((kind, at))
        piece.odd = True
        for outer in self.around:
            outer.odd = True

    def quote(self, start: int, end: int) -> None:
        # `circuit 48 "Rear screen {`: the brace is meant as a brace, or everything after it would be out of step.
        brace = _BRACE_AT_END.search(self.text, start, end)
        stop = brace.start() if brace else end
        self.word(start, start + len(self.text[start:stop].rstrip()))
        if self.current is not None:
            self.trouble(self.current, Trouble.OPEN_QUOTE, start)
        if brace:
            self.opening(brace.start())
        if brace and brace["comment"]:
            self.result.comments.append(Word("COMMENT", brace["comment"], *brace.span("comment")))

    # ---- braces ---------------------------------------------------------------------------------------------------

    def opening(self, at: int) -> None:
        if self.buried:
            self.buried += 1
            return
        piece = self.current
        if piece is None:
            before = self.siblings()[-1] if self.siblings() else None
            if before is not None and before.open < 0 and self.fresh and not before.troubles:
                piece = before
                self.trouble(piece, Trouble.OWN_LINE, at)
            else:
                piece = self.begin(at)
                self.trouble(piece, Trouble.NO_HEAD, at)
        piece.head_end = max(piece.end, piece.start)
        piece.open = at
        if len(self.around) == NESTING:
            self.trouble(piece, Trouble.TOO_DEEP, at)
            self.buried = 1
        self.around.append(piece)
        self.finish()

    def closing(self, at: int) -> None:
        self.finish()
        if self.buried:
            self.buried -= 1
            if self.buried:
                return
        elif self.by_indentation and self.around:
            column = at - self.line_start
            if self.fresh:
                while len(self.around) > 1 and self.around[-1].column > column:
                    self.never_closed(at)
            same_line = self.around[-1].open >= self.line_start
            if not same_line and not (self.fresh and self.around[-1].column == column):
                self.stray(at)
                return
        if not self.around:
            self.stray(at)
            return
        piece = self.around.pop()
        piece.close, piece.end = at, at + 1
        self.after_block = True

    def stray(self, at: int) -> None:
        piece = Piece(at, at + 1)
        self.siblings().append(piece)
        self.trouble(piece, Trouble.STRAY_BRACE, at)
        self.result.unmatched += 1

    def never_closed(self, at: int) -> None:
        piece = self.around.pop()
        self.trouble(piece, Trouble.OPEN_BLOCK, piece.open)
        piece.close = at
        piece.end = max(piece.open + 1, piece.inner[-1].end if piece.inner else 0)
        self.result.unmatched += 1
