"""Highlighting: text comes out as it went in, and each part in the colour of what it is."""

from __future__ import annotations

import tomllib
from importlib import import_module

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pygments.token import Comment, Error, Keyword, Name, Number, Operator, String, _TokenType

from grammar.highlight import LoomLexer
from tests.grammar.conftest import ROOT, good_texts

LEXER = LoomLexer(stripnl=False, ensurenl=False)


def tokens(text: str) -> list[tuple[_TokenType, str]]:
    return [(kind, value) for kind, value in LEXER.get_tokens(text) if value.strip()]


def test_good_texts_have_no_errors_and_come_out_whole() -> None:
    for text in good_texts():
        found = list(LEXER.get_tokens(text))
        assert "".join(value for _, value in found) == text.replace("\r\n", "\n")
        assert [value for kind, value in found if kind is Error] == []


@given(st.text(max_size=100))
def test_any_text_comes_out_whole(text: str) -> None:
    text = text.replace("\r", "").removeprefix("\ufeff")
    assert "".join(value for _, value in LEXER.get_tokens(text)) == text


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ('circuit 48 "Feed" 2.5 mm2 BK/WH in body {', Keyword.Declaration, "circuit"),
        ('circuit 48 "Feed" 2.5 mm2 BK/WH in body {', String.Double, '"Feed"'),
        ('circuit 48 "Feed" 2.5 mm2 BK/WH in body {', Number, "2.5"),
        ('circuit 48 "Feed" 2.5 mm2 BK/WH in body {', Keyword.Type, "mm2"),
        ('circuit 48 "Feed" 2.5 mm2 BK/WH in body {', Name.Constant, "BK/WH"),
        ('circuit 48 "Feed" 2.5 mm2 BK/WH in body {', Keyword, "in"),
        ('state "Night driving" {', Keyword.Declaration, "state"),
        ('set state "Night driving", S21 on', Keyword, "state"),
        ("sheets 12A 14", Name, "12A"),
        ("motor M1 + - 90 W", Name, "-"),
        ("spare + -", Name, "-"),
        ("contact 30 1A when on", Name, "1A"),
        ("contact 30 87 when 2A", Name, "2A"),
        ("contact 30 87 when 2A", Keyword, "when"),
        ("coil 1 2 3 W", Number, "3"),
        ("rows 3 4 3", Keyword.Declaration, "rows"),
        ("pins on body", Keyword.Declaration, "pins"),
        ("pins on body", Keyword, "on"),
        ("A K7.87 -- ? VT*  # as built", Name.Label, "A"),
        ("A K7.87 -- ? VT*  # as built", Name.Entity, "K7.87"),
        ("A K7.87 -- ? VT*  # as built", Operator, "--"),
        ("A K7.87 -- ? VT*  # as built", Operator, "?"),
        ("A K7.87 -- ? VT*  # as built", Name.Constant, "VT*"),
        ("A K7.87 -- ? VT*  # as built", Comment.Single, "# as built"),
        ("relay K7 at cab (1, 2)", Name.Class, "relay"),
        ("relay K7 at cab (1, 2)", Number, "(1, 2)"),
        ("wires 60A 61A", Name, "60A"),
        ("omit circuit 61", Keyword, "circuit"),
        ("replace relay K7", Keyword.Namespace, "replace"),
        ("when A and not B {", Operator.Word, "not"),
    ],
)
def test_each_part_is_what_it_is(text: str, kind: _TokenType, value: str) -> None:
    assert (kind, value) in tokens(text)


def test_refused_characters_are_errors() -> None:
    assert (Error, "&") in tokens("bus A & B")


def test_the_lexer_can_be_found() -> None:
    assert LoomLexer.name == "Loom"
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    module, _, name = project["entry-points"]["pygments.lexers"]["loom"].partition(":")
    assert getattr(import_module(module), name) is LoomLexer
    assert LoomLexer.filenames == ["*.loom"]
    assert LoomLexer.aliases == ["loom"]
