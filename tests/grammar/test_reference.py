"""The reference is true: every example in it can be read, is laid out as the formatter does, and says what it claims.

A block ```loom is a clean text in the formatter's layout. Words behind it say otherwise: `wrong` has mistakes, each
with the finding in a comment as in the case files; `loose` is not in the layout.
"""

from __future__ import annotations

import re

import pytest

from compiler.kinds import kinds
from grammar.engine import NESTING
from grammar.formatter import format_text
from grammar.layout import WIDTH
from grammar.limits import DIGITS, FILE_SIZE, FINDINGS, LINE_LENGTH
from grammar.parser import parse
from grammar.source import Source
from grammar.tables import table
from grammar.words import CLAUSES, EXAMPLES
from tests.grammar.cases import found, read_lines
from tests.grammar.conftest import REFERENCE, Example, examples

PAGE = REFERENCE.read_text("utf-8")
WHOLE = [example for example in examples() if not example.words or example.words == ["loose"]]
WRONG = [example for example in examples() if example.words == ["wrong"]]


def test_every_block_is_of_a_known_sort() -> None:
    assert len(WHOLE) + len(WRONG) == len(examples()) > 20


@pytest.mark.parametrize("example", WHOLE, ids=repr)
def test_whole_examples_are_clean(example: Example) -> None:
    assert parse(Source("reference.md", example.text)).findings == ()


@pytest.mark.parametrize("example", [e for e in WHOLE if not e.words], ids=repr)
def test_whole_examples_are_laid_out_as_the_formatter_does(example: Example) -> None:
    assert format_text(Source("reference.md", example.text)) == example.text


@pytest.mark.parametrize("example", WRONG, ids=repr)
def test_wrong_examples_are_found_as_they_say(example: Example) -> None:
    text, expected = read_lines(example.text)
    _, findings = found(text, "reference.md")
    assert [(f.line, f.check, f.says) for f in findings] == [(e.line, e.check, e.says) for e in expected]


def test_every_statement_and_word_is_described() -> None:
    shown = "".join(example.text for example in examples()) + PAGE
    words = {word for word in table().words if word[0].isalpha()}
    missing = {word for word in words if not re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", shown)}
    assert missing == set()
    in_blocks = "".join(example.text for example in examples())
    begun = {word for lines in EXAMPLES.values() for word in lines if word} | set(CLAUSES)
    assert {word for word in begun if not re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", in_blocks)} == set()


def test_every_kind_of_device_is_described() -> None:
    tables = PAGE.split("## Kinds of device", 1)[1].split("\n## Kinds of your own", 1)[0]
    assert [kind for kind in kinds() if not re.search(rf"`{kind}[` ]", tables)] == []


def test_every_unit_is_listed() -> None:
    pattern = re.search(r"\(\?:(mm2\|[^)]*)\)", REFERENCE.with_name("loom.lark").read_text("utf-8"))
    assert pattern is not None
    units = [unit for unit in pattern[1].split("|") if unit]
    assert len(units) > 20
    table_of_units = PAGE.split("## Quantities and units", 1)[1].split("\n## ", 1)[0]
    assert [unit for unit in units if f"`{unit}`" not in table_of_units] == []


def test_the_limits_are_the_limits() -> None:
    limits = PAGE.split("## Limits", 1)[1].split("\n## ", 1)[0]
    for number in (
        f"{FILE_SIZE // 1024 // 1024} MiB",
        f"{NESTING} blocks",
        f"{LINE_LENGTH:,} characters".replace(",", " "),
    ):
        assert number in limits
    assert f"{DIGITS} digits" in limits
    assert f"{FINDINGS} findings" in limits
    assert f"{WIDTH} columns" in PAGE
