"""The table that runs is the one that lark makes from the grammar."""

from __future__ import annotations

import os
import subprocess
import sys
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from lark import Lark, Token, Transformer

from grammar.build import BUILDERS
from grammar.engine import run
from grammar.generate import STARTS, build_table, grammar_text, table_text
from grammar.tables import table
from grammar.tree import Word
from tests.chaos.variants import make_variant
from tests.grammar.conftest import good_texts


def test_the_table_is_in_step_with_the_grammar() -> None:
    written = files("grammar").joinpath("loom.table.json").read_text("utf-8")
    assert table_text(build_table(grammar_text())) == written, "run: python -m grammar.generate"


@pytest.mark.parametrize("seed", ["1", "4321"])
def test_the_table_does_not_depend_on_the_order_of_sets(seed: str, root: Path) -> None:
    code = "from grammar.generate import *; print(end=table_text(build_table(grammar_text())))"
    made = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "PYTHONHASHSEED": seed},
        cwd=root,
        check=True,
        capture_output=True,
        encoding="utf-8",
    )
    assert made.stdout == files("grammar").joinpath("loom.table.json").read_text("utf-8")


def test_no_two_terminals_collide_and_no_rule_is_ambiguous() -> None:
    # strict: lark raises for both.
    Lark(grammar_text(), parser="lalr", start=STARTS, keep_all_tokens=True, maybe_placeholders=False, strict=True)


class _ByLark(Transformer[Token, Any]):
    """The same builders, called by lark's own parser with lark's own tokens."""


def _builder(name: str) -> Any:
    def build(_: _ByLark, children: list[Any]) -> Any:
        return BUILDERS[name]([_word(child) if isinstance(child, Token) else child for child in children])

    return build


def _word(token: Token) -> Word:
    # lark names the terminals of words with a hyphen __ANON_n.
    kind = token.value.upper() if token.type.startswith("__ANON") else token.type
    assert token.start_pos is not None
    assert token.end_pos is not None
    return Word(kind, token.value, token.start_pos, token.end_pos)


for _name in BUILDERS:
    setattr(_ByLark, _name, _builder(_name))


@pytest.fixture(scope="module")
def lark() -> Lark:
    return Lark(
        grammar_text(),
        parser="lalr",
        start=STARTS,
        keep_all_tokens=True,
        maybe_placeholders=False,
        transformer=_ByLark(),
    )


def test_lark_builds_the_same_trees(lark: Lark) -> None:
    assert len(good_texts()) > 20
    for text in good_texts():
        assert run(table(), text, "file") == lark.parse(text, start="file")


def test_lark_builds_the_same_tree_of_a_large_variant(lark: Lark) -> None:
    text = make_variant(99, 1_000)
    assert run(table(), text, "file") == lark.parse(text, start="file")
