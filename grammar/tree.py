"""The syntax tree: what was written, with exact offsets, before anything is known of its meaning.

Few shapes, all immutable. A `Statement` is a keyword with values, clauses and perhaps a block; a wire, a `when` and a
condition have shapes of their own. Every node has `start` and `end` offsets into the tree's source.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from grammar.source import Source, Span


class Word(NamedTuple):
    """One token. `kind` is NAME, QUANTITY, STRING, POINT, UNKNOWN or the keyword itself in capitals."""

    kind: str
    text: str
    start: int
    end: int

    @property
    def value(self) -> str:
        """The text meant: a STRING without its quotes and escapes, anything else as written."""
        if self.kind != "STRING":
            return self.text
        inner = self.text[1:-1]
        return inner.replace('\\"', '"').replace("\\\\", "\\") if "\\" in inner else inner


class Clause(NamedTuple):
    """A keyword with what follows it inside a line: `at cab (1, 2) "left"`, `in body`, `allow NAME "why"`."""

    word: Word
    values: tuple[Word, ...]

    @property
    def start(self) -> int:
        return self.word.start

    @property
    def end(self) -> int:
        return self.values[-1].end if self.values else self.word.end


class Block(NamedTuple):
    """The lines between two braces."""

    lines: tuple[Node, ...]
    start: int
    end: int


class Statement(NamedTuple):
    """A keyword or device kind, its values in the order written, its clauses, and its block if it has one.

    `prefix` is the word `replace` or `extend` when the statement stands behind one.
    """

    word: Word
    values: tuple[Word, ...]
    clauses: tuple[Clause, ...]
    block: Block | None
    start: int
    end: int
    rule: str
    prefix: Word | None = None


class Wire(NamedTuple):
    """One wire line of a circuit: segment label, two ends, then values and clauses in the order written."""

    label: Word
    a: Word
    b: Word
    values: tuple[Word, ...]
    clauses: tuple[Clause, ...]
    start: int
    end: int
    prefix: Word | None = None


class Condition(NamedTuple):
    """`op` is `is`, `not`, `and` or `or`; `word` is set for `is` and `not`, `terms` for `and` and `or`."""

    op: str
    word: Word | None
    terms: tuple[Condition, ...]
    start: int
    end: int


class When(NamedTuple):
    """Lines that count only if a condition on the variant's options holds."""

    condition: Condition
    block: Block
    start: int
    end: int


Node = Statement | Wire | When | Clause


class SyntaxTree(NamedTuple):
    """What a file says. `comments` are all its comments in order, as words of kind COMMENT."""

    source: Source
    lines: tuple[Node, ...]
    comments: tuple[Word, ...]

    def span(self, node: Word | Clause | Block | Statement | Wire | When | Condition) -> Span:
        """The place of a node in this tree's source."""
        return Span(self.source, node.start, node.end)


def walk(lines: tuple[Node, ...]) -> Iterator[Node]:
    """Every node below and including `lines`, in the order written."""
    for node in lines:
        yield node
        block = node.block if isinstance(node, Statement | When) else None
        if block is not None:
            yield from walk(block.lines)
