"""What no file may exceed or hold, so that a text from a stranger costs little and hides nothing."""

from __future__ import annotations

import re
from collections.abc import Iterator

from grammar.finding import Finding, Severity
from grammar.source import Source, Span
from grammar.tree import Clause, Statement, SyntaxTree, Wire, Word, walk

FILE_SIZE = 8 * 1024 * 1024  # bytes when read, characters when parsed
LINE_LENGTH = 10_000
DIGITS = 15  # what a double holds exactly
FINDINGS = 200

# Control characters; marks that turn the reading direction, which make a text read otherwise than it is; halves of
# surrogate pairs; no-characters; and the mark that stands for bytes that were no text.
FORBIDDEN = re.compile("[\x00-\x08\x0b\x0e-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufffd-\uffff]+")
_LONE_RETURN = re.compile(r"\r(?!\n)")
_LONG_NUMBER = re.compile(r"\d[\d.]{15,}")
_NUMBER = re.compile(r"\d+(?:\.\d+)?")


def limit(says: str, at: Span, mend: str = "") -> Finding:
    """A finding about a limit."""
    return Finding("limit", Severity.ERROR, says, at, (), mend)


def text_findings(source: Source) -> list[Finding]:
    """Lines that are too long and characters that have no place in a text."""
    text = source.text
    findings = []
    for match in FORBIDDEN.finditer(text):
        findings.append(_forbidden(source, match))
        if len(findings) > FINDINGS:
            break
    if "\r" in text and (lone := _LONE_RETURN.search(text)):
        says = "a carriage return stands here without a line feed: it ends no line"
        at = Span(source, lone.start(), lone.end())
        findings.append(Finding("syntax", Severity.ERROR, says, at, (), "save the file with line feeds at line ends"))
    if len(text) > LINE_LENGTH:
        start = 0
        for line in text.split("\n"):
            if len(line) > LINE_LENGTH:
                says = f"this line has {len(line)} characters; the limit is {LINE_LENGTH}"
                mend = "carry it on with a backslash at the line end"
                findings.append(limit(says, Span(source, start, start + 1), mend))
            start += len(line) + 1
    return findings


def _forbidden(source: Source, match: re.Match[str]) -> Finding:
    character = match[0][0]
    at = Span(source, match.start(), match.end())
    if character == "\ufffd":
        says = "these bytes are not UTF-8 text"
        return Finding("syntax", Severity.ERROR, says, at, (), "write the text again and save the file as UTF-8")
    import unicodedata  # only a broken file needs it

    name = unicodedata.name(character, "a control character").lower()
    says = f"the character U+{ord(character):04X} ({name}) has no place in a text"
    return Finding("syntax", Severity.ERROR, says, at, (), "delete it; it cannot be seen in most editors")


def number_findings(tree: SyntaxTree) -> Iterator[Finding]:
    """Numbers with more digits than can be kept."""
    if not _LONG_NUMBER.search(tree.source.text):
        return
    for word in _words(tree):
        if word.kind in ("QUANTITY", "POINT"):
            for number in _NUMBER.findall(word.text):
                if len(number.replace(".", "")) > DIGITS:
                    says = f"the number {number[:DIGITS]}… has more than {DIGITS} digits"
                    yield limit(says, tree.span(word), "write fewer digits")


def _words(tree: SyntaxTree) -> Iterator[Word]:
    for node in walk(tree.lines):
        if isinstance(node, Clause):
            yield from node.values
        elif isinstance(node, Statement | Wire):
            yield from node.values
            for clause in node.clauses:
                yield from clause.values


def at_most(findings: list[Finding], source: Source) -> tuple[Finding, ...]:
    """The findings in reading order, cut at the limit with a word about the rest."""
    findings.sort(key=lambda finding: (finding.at.start if finding.at else 0, finding.check, finding.says))
    if len(findings) <= FINDINGS:
        return tuple(findings)
    last = findings[FINDINGS].at or Span(source, 0, 0)
    return (*findings[:FINDINGS], limit(f"more than {FINDINGS} findings in this file; reading ends here", last))
