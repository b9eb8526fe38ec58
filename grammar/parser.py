"""Text to syntax tree. A clean file is one pass; only a broken one is read again, statement by statement."""

from __future__ import annotations

from typing import NamedTuple

from grammar.engine import Stuck, run
from grammar.finding import Finding
from grammar.limits import FILE_SIZE, at_most, limit, number_findings, text_findings
from grammar.source import Source, Span
from grammar.tables import table
from grammar.tree import SyntaxTree, Word


class Parsed(NamedTuple):
    """A tree (always there, holding every statement that could be read) and what was wrong with the text."""

    tree: SyntaxTree
    findings: tuple[Finding, ...]


def parse(source: Source) -> Parsed:
    """The syntax tree of `source`, and findings for what could not be read. Raises nothing for any text.

    The checks named by the findings are `syntax` and `limit`, both errors.
    """
    text = source.text
    if len(text) > FILE_SIZE:
        says = f"the text is longer than {FILE_SIZE} characters"
        too_long = limit(says, Span(source, 0, 0), "divide it into fragments and `use` them")
        return Parsed(SyntaxTree(source, (), ()), (too_long,))
    findings = text_findings(source)
    comments: list[Word] = []
    try:
        lines = run(table(), text, "file", comments=comments)
    except Stuck as stuck:
        # Nobody with a clean file should wait for what only a broken one needs.
        from grammar.recovery import recover

        lines, comments, broken = recover(table(), source, stuck)
        findings += broken
    tree = SyntaxTree(source, lines, tuple(comments))
    findings += number_findings(tree)
    return Parsed(tree, at_most(findings, source))
