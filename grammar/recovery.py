"""A text that the parser could not read in one pass, read statement by statement: one finding for each mistake.

What can be read is kept, within blocks too; a statement that cannot is left out with its block, but the block's lines
are still looked at, so that all mistakes of a file come to light at once.
"""

from __future__ import annotations

from bisect import bisect_right
from typing import Any

from grammar.engine import NESTING, Stuck, run
from grammar.expected import accepted, how_it_reads, quoted, sentence
from grammar.finding import Finding, Note, Severity
from grammar.limits import FINDINGS, FORBIDDEN, LINE_LENGTH, limit
from grammar.repairs import Broken, best_repair
from grammar.scanner import Piece, Trouble, scan
from grammar.source import Source, Span
from grammar.tables import Table
from grammar.tree import Node, Statement, When, Word
from grammar.words import BLOCKS, CLAUSES, EXAMPLES, meant_block

_UNREADABLE = frozenset((Trouble.OPEN_QUOTE, Trouble.NO_HEAD, Trouble.TOO_DEEP))


def recover(table: Table, source: Source, stuck: Stuck) -> tuple[tuple[Node, ...], list[Word], list[Finding]]:
    """The lines of a broken file that can be read, its comments, and a finding for each mistake.

    `stuck` is where the file could not be read in one pass.
    """
    scanned = scan(source.text)
    reader = _Reader(table, source)
    lines = reader.lines(scanned.pieces, "file")
    if not reader.findings and not FORBIDDEN.match(stuck.found.text):
        # Cut into statements it reads, as a whole it does not: say at least where.
        says = sentence(stuck, reader.possible(stuck, 0, "file"), "file", 0)
        reader.add(says, stuck.found.start, stuck.found.end)
    return tuple(lines), scanned.comments, reader.findings


class _Reader:
    def __init__(self, table: Table, source: Source) -> None:
        self.table, self.source, self.text = table, source, source.text
        self.findings: list[Finding] = []

    # ---- reading --------------------------------------------------------------------------------------------------

    def lines(self, pieces: list[Piece], symbol: str) -> list[Node]:
        """Read statements that stand side by side; `symbol` says in what kind of block."""
        nodes: list[Node] = []
        starts = [piece.start for piece in pieces]
        at = 0
        while at < len(pieces) and len(self.findings) <= FINDINGS:
            if pieces[at].odd:
                nodes += self.one(pieces[at], symbol)
                at += 1
                continue
            end = at + 1
            while end < len(pieces) and not pieces[end].odd:
                end += 1
            # As many as possible in one go: a large file with one mistake is read about twice, not line by line.
            try:
                nodes += self.read(pieces[at].start, pieces[end - 1].end, symbol)
                at = end
            except Stuck as stuck:
                culprit = max(at, bisect_right(starts, stuck.found.start, at, end) - 1)
                nodes += self.good(pieces[at:culprit], symbol)
                nodes += self.one(pieces[culprit], symbol)
                at = culprit + 1
        return nodes

    def good(self, pieces: list[Piece], symbol: str) -> list[Node]:
        """Read the statements before a mistake, which the parser has passed already."""
        if not pieces:
            return []
        try:
            return self.read(pieces[0].start, pieces[-1].end, symbol)
        except Stuck:
            # The mistake shows only here, at an end that was not the end before.
            return [node for piece in pieces for node in self.one(piece, symbol)]

    def one(self, piece: Piece, symbol: str) -> list[Node]:
        """Read one statement that has a mistake somewhere."""
        kinds = {kind for kind, _ in piece.troubles}
        if Trouble.OPEN_BLOCK in kinds:
            beyond = self.not_inside(piece, symbol)
            if beyond:
                return [*self.one(piece, symbol), *self.lines(beyond, symbol)]
        for kind, at in piece.troubles:
            self.trouble(kind, at, piece)
        if Trouble.STRAY_BRACE in kinds or Trouble.TOO_DEEP in kinds:
            return []
        if kinds & _UNREADABLE:
            if Trouble.OPEN_QUOTE in kinds:
                self.inside(piece, symbol)
            return []
        if piece.open < 0:
            try:
                return self.read(piece.start, piece.end, symbol)
            except Stuck as stuck:
                self.mistake(stuck, piece, symbol, piece.end, ())
                return []
        closing = (
            Word("LBRACE", "{", piece.open, piece.open + 1),
            Word("RBRACE", "}", piece.close, min(piece.close + 1, len(self.text))),
        )
        try:
            nodes = self.read(piece.start, piece.head_end, symbol, closing)
        except Stuck as stuck:
            self.mistake(stuck, piece, symbol, piece.head_end, closing)
            self.inside(piece, symbol)
            return []
        meant = self.misspelt(piece, nodes[-1], symbol)
        if meant:
            self.lines(piece.inner, BLOCKS[meant])
            return []
        inner = tuple(self.lines(piece.inner, self.block_symbol(piece, symbol) or "device_lines"))
        return [*nodes[:-1], _filled(nodes[-1], inner)]

    def inside(self, piece: Piece, symbol: str) -> None:
        """Look for mistakes in the block of a statement that is lost itself."""
        inner = self.block_symbol(piece, symbol)
        if inner:
            self.lines(piece.inner, inner)

    def read(self, start: int, end: int, symbol: str, closing: tuple[Word, ...] = ()) -> list[Node]:
        nodes: tuple[Node, ...] = run(self.table, self.text, symbol, start, end, None, closing)
        return list(nodes)

    def not_inside(self, piece: Piece, symbol: str) -> list[Piece]:
        """Take out of a block that is never closed what cannot stand in it but beside it, with all that follows."""
        inner = self.block_symbol(piece, symbol)
        if not inner or inner == symbol:
            return []
        outside = EXAMPLES[symbol].keys() - EXAMPLES[inner].keys() - {""}
        for index, line in enumerate(piece.inner):
            if self.first_word(line) in outside:
                piece.inner, beyond = piece.inner[:index], piece.inner[index:]
                piece.close = line.start
                return beyond
        return []

    def first_word(self, piece: Piece) -> str:
        return self.text[piece.start : max(piece.head_end, piece.end)].split(None, 1)[0]

    # ---- what a block holds ---------------------------------------------------------------------------------------

    def block_symbol(self, piece: Piece, symbol: str) -> str:
        """The symbol that reads the lines of a statement's block; empty if nobody can tell."""
        words = self.text[piece.start : piece.head_end].split(None, 2)
        first = words[0] if words else ""
        prefixed = first in ("replace", "extend") and len(words) > 1
        if prefixed:
            first = words[1]
        if first == "when":
            return symbol
        if first in EXAMPLES[symbol] and first in BLOCKS:
            return BLOCKS[first]
        near = meant_block(first, "".join(words[1 + prefixed :][:1]), symbol)
        if near:
            return BLOCKS[near]
        is_device = "" in EXAMPLES[symbol] and first not in self.table.words and not prefixed
        return "device_lines" if is_device else ""

    def misspelt(self, piece: Piece, node: Node, symbol: str) -> str:
        """The word that a supposed device kind was meant to be; reported here.

        `circut 48 "x" {` reads as a device of an unknown kind: its wires would all be wrong for want of one letter.
        """
        if not isinstance(node, Statement) or node.rule != "device":
            return ""
        kind = node.word
        meant = meant_block(kind.text, "", symbol)
        if not meant and any(" -- " in self.text[line.start : line.end] for line in piece.inner if line.open < 0):
            meant = "circuit"
        if meant:
            says = f"{quoted(kind.text)} is not a word that can stand here"
            self.add(says, kind.start, kind.end, f"did you mean `{meant}`?")
        return meant

    # ---- saying what is wrong -------------------------------------------------------------------------------------

    def add(self, says: str, start: int, end: int, mend: str = "", notes: tuple[Note, ...] = ()) -> None:
        self.findings.append(Finding("syntax", Severity.ERROR, says, Span(self.source, start, end), notes, mend))

    def mistake(self, stuck: Stuck, piece: Piece, symbol: str, end: int, closing: tuple[Word, ...]) -> None:
        """Say what is wrong in a statement whose braces and quotes are right."""
        found = stuck.found
        if FORBIDDEN.match(found.text):
            return  # reported with the text as a whole
        can = self.possible(stuck, piece.start, symbol)
        repair = None
        if end - piece.start <= LINE_LENGTH:  # each try reads the statement again
            beginnings = [*filter(None, EXAMPLES[symbol]), *CLAUSES]
            broken = Broken(self.text, piece.start, end, stuck, can, self.table.words, beginnings)
            repair = best_repair(broken, lambda changed: self.reach(changed, symbol, closing))
        if repair is not None:
            start, stop = (repair.at, repair.at + 1) if repair.at >= 0 else (repair.start, repair.end)
            if start == stop:
                start, stop = found.start, found.end
            self.add(repair.says, start, stop, repair.mend)
            return
        start, stop = found.start, found.end
        if found.kind in ("END", "_SEP", "LBRACE", "RBRACE") and stuck.before is not None and found.kind != "LBRACE":
            start = stop = stuck.before.end
        first = self.text[piece.start : end].split(None, 1)[0]
        mend = how_it_reads(symbol, first, keyword=first in EXAMPLES[symbol] or first in CLAUSES)
        self.add(sentence(stuck, can, symbol, piece.start), start, stop, mend)

    def possible(self, stuck: Stuck, start: int, symbol: str) -> frozenset[str]:
        """The terminals that could stand where the parser got stuck in a statement that begins at `start`.

        The parser may have closed rules in view of the wrong word before it noticed; so it is led there again and shown
        a word that fits nowhere.
        """
        try:
            run(self.table, self.text, symbol, start, stuck.found.start, None, (Word("", "", 0, 0),))
        except Stuck as again:
            return accepted(self.table, again.stack)
        return frozenset()

    def reach(self, changed: str, symbol: str, closing: tuple[Word, ...]) -> float:
        try:
            run(self.table, changed, symbol, closing=closing)
        except Stuck as stuck:
            return len(changed) if stuck.found in closing else stuck.found.start
        return float("inf")

    def trouble(self, kind: Trouble, at: int, piece: Piece) -> None:
        """Say what is wrong with a brace or a quote."""
        if kind is Trouble.OPEN_QUOTE:
            stop = piece.head_end if piece.open >= 0 else piece.end
            self.add('the text that begins here has no closing "', at, max(stop, at + 1), 'write " where the text ends')
        elif kind is Trouble.OPEN_BLOCK:
            notes = ()  # type: tuple[Note, ...]
            mend = "write `}` behind its last line"
            if piece.close < len(self.text):
                line = self.source.position(piece.close).line
                notes = (Note(Span(self.source, piece.close, piece.close + 1), "it should be closed before this line"),)
                mend = f"write `}}` before line {line}"
            self.add("this block is never closed", at, at + 1, mend, notes)
        elif kind is Trouble.STRAY_BRACE:
            self.add("this `}` closes nothing", at, at + 1, "delete it, or write the `{` that it should close")
        elif kind is Trouble.NO_HEAD:
            self.add("a block stands behind a statement; there is none before this `{`", at, at + 1)
        elif kind is Trouble.OWN_LINE:
            mend = "write `{` at the end of the line before"
            self.add("`{` stands on the line of its statement", at, at + 1, mend)
        elif kind is Trouble.GLUED:
            stop = at + len(self.text[at : piece.end].split(None, 1)[0])
            self.add("behind `}` the line ends", at, stop, "begin a new line before this word")
        else:
            says = f"blocks are nested more than {NESTING} deep"
            self.findings.append(limit(says, Span(self.source, at, at + 1), "write it flatter"))


def _filled(node: Any, inner: tuple[Node, ...]) -> Node:
    """The node with lines in its block, which was read empty."""
    if isinstance(node, Statement) and node.rule == "prefixed" and node.block is not None:
        return node._replace(block=node.block._replace(lines=(_filled(node.block.lines[0], inner),)))
    if isinstance(node, Statement | When) and node.block is not None:
        return node._replace(block=node.block._replace(lines=inner))
    raise AssertionError(f"{node} has no block")
