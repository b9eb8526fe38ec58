"""One layout for all .loom files.

Two blanks of indentation for each block, one statement a line, columns lined up, at most one empty line, comments where
they stood, short blocks on one line if their author wrote them so. Meaning never changes, which is proved on each run.
"""

from __future__ import annotations

from typing import Any

from grammar.finding import Finding
from grammar.layout import render
from grammar.parser import Parsed, parse
from grammar.printing import rows, wire_values, word_text
from grammar.source import Source
from grammar.tree import Block, Clause, Condition, Node, Statement, SyntaxTree, When, Wire, Word


class CannotFormat(Exception):  # noqa: N818 - says what cannot be done
    """The text is broken: `findings` say where. Nothing is formatted by halves."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__(f"{len(findings)} findings")
        self.findings = findings


class FormatterFault(Exception):  # noqa: N818 - ours, not the author's
    """The formatter would have changed what the text means, or would not leave its own layout alone.

    The message says which; the author's text is not touched.
    """


def format_text(source: Source) -> str:
    """The text of `source` in the one layout.

    Raises CannotFormat if the text has findings, FormatterFault if the result does not mean the same.
    """
    parsed = parse(source)
    if parsed.findings:
        raise CannotFormat(parsed.findings)
    text = render(rows(parsed.tree))
    _prove(source, parsed, text)
    return text


def _prove(source: Source, before: Parsed, text: str) -> None:
    after = parse(Source(source.name, text))
    if after.findings:
        raise FormatterFault(f"{source.name}: the result cannot be read: {after.findings[0].says}")
    if meaning(after.tree) != meaning(before.tree):
        raise FormatterFault(f"{source.name}: the result does not mean the same")
    if render(rows(after.tree)) != text:
        raise FormatterFault(f"{source.name}: the result would be laid out differently again")


def meaning(tree: SyntaxTree) -> Any:
    """What a tree says, without places and without the layout of words; equal for texts that mean the same."""
    return [_meant(node) for node in tree.lines], [comment.text.rstrip() for comment in tree.comments]


def _meant(node: Node | Block | Condition | Word | None) -> Any:
    if node is None:
        return None
    if isinstance(node, Word):
        return node.kind, word_text(node)
    if isinstance(node, Block):
        return [_meant(line) for line in node.lines]
    if isinstance(node, When):
        return "when", _meant(node.condition), _meant(node.block)
    if isinstance(node, Condition):
        return node.op, _meant(node.word), [_meant(term) for term in node.terms]
    values = [_meant(word) for word in (wire_values(node) if isinstance(node, Wire) else node.values)]
    if isinstance(node, Clause):
        return _meant(node.word), values
    clauses = [_meant(clause) for clause in node.clauses]
    if isinstance(node, Wire):
        return _meant(node.prefix), _meant(node.label), _meant(node.a), _meant(node.b), values, clauses
    assert isinstance(node, Statement)
    return node.rule, _meant(node.prefix), _meant(node.word), values, clauses, _meant(node.block)
