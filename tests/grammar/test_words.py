"""What people are told of the language is true."""

from __future__ import annotations

import pytest

from compiler.kinds import kinds
from grammar.engine import run
from grammar.tables import table
from grammar.words import BLOCKS, CLAUSES, EXAMPLES, FOLLOWS, NAMED_LINES, PLACES, closest, meant_block

LINES = [(symbol, word, line) for symbol, lines in EXAMPLES.items() for word, line in lines.items()]


@pytest.mark.parametrize(("symbol", "word", "line"), LINES, ids=lambda value: str(value)[:20])
def test_examples_can_be_read_where_they_stand(symbol: str, word: str, line: str) -> None:
    (node,) = run(table(), line, symbol)
    assert line.split(maxsplit=1)[0] == word or not word
    assert node.start == 0
    assert node.end == len(line)


@pytest.mark.parametrize("word", CLAUSES)
@pytest.mark.parametrize("symbol", EXAMPLES)
def test_clauses_can_stand_in_every_block(symbol: str, word: str) -> None:
    assert len(run(table(), CLAUSES[word], symbol)) == 1


@pytest.mark.parametrize("symbol", EXAMPLES)
def test_no_beginning_of_a_line_is_left_out(symbol: str) -> None:
    first = table().states[table().starts[symbol][0]]
    begin = {word for word in first.words if word.isascii() and word[0].isalpha()}
    assert begin == {word for word in EXAMPLES[symbol] if word} | set(CLAUSES)
    assert ("NAME" in first.actions) == ("" in EXAMPLES[symbol])
    assert symbol in PLACES
    assert symbol in NAMED_LINES or "" not in EXAMPLES[symbol]


@pytest.mark.parametrize(("word", "symbol"), BLOCKS.items())
def test_blocks_hold_the_lines_that_are_said(word: str, symbol: str) -> None:
    line = next(iter(EXAMPLES[symbol].values()))
    title = '"x"' if word in ("state", "expect", "complaint") else 'X "x"'
    (node,) = run(table(), f"{word} {title} {{ {line} }}", "file")
    assert len(node.block.lines) == 1


def test_every_word_that_something_follows_is_a_word() -> None:
    assert set(FOLLOWS) <= set(table().words)


def test_no_device_kind_is_taken_for_a_misspelt_statement() -> None:
    assert len(kinds()) > 20
    for kind in kinds():
        assert meant_block(kind, "X1", "file") == "", kind


def test_a_name_in_quotes_tells_a_state_from_a_starter() -> None:
    assert meant_block("stater", '"Night"', "file") == "state"
    assert meant_block("starter", "M1 30 50", "file") == ""
    assert meant_block("conector", "C40", "file") == "connector"
    assert meant_block("conector", '"C40"', "file") == ""


def test_closest() -> None:
    assert closest("conector", EXAMPLES["file"]) == "connector"
    assert closest("Circuit", EXAMPLES["file"]) == "circuit"
    assert closest("xyzzy", EXAMPLES["file"]) == ""
