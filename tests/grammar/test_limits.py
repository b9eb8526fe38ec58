"""Limits on size, depth, length and digits, and characters that hide something."""

from __future__ import annotations

import pytest

from grammar.engine import NESTING
from grammar.limits import DIGITS, FILE_SIZE, LINE_LENGTH
from grammar.parser import parse
from grammar.source import Source


def only_finding(text: str, check: str) -> str:
    (finding,) = parse(Source("t.loom", text)).findings
    assert finding.check == check
    assert finding.at is not None
    return finding.at.text


def nested(depth: int) -> str:
    return "when A {\n" * depth + "bus B\n" + "}\n" * depth


def test_nesting() -> None:
    assert parse(Source("t", nested(NESTING))).findings == ()
    parsed = parse(Source("t", "bus A\n" + nested(NESTING + 1) + "bus C\n"))
    (finding,) = parsed.findings
    assert finding.check == "limit"
    assert finding.at is not None
    assert finding.at.position.line == NESTING + 2
    assert len(parsed.tree.lines) == 3


def test_a_million_braces_end_quickly() -> None:
    parsed = parse(Source("t", "{" * 1_000_000))
    assert 1 <= len(parsed.findings) <= 3


def test_file_size() -> None:
    text = "# x\n" * (FILE_SIZE // 4)
    assert parse(Source("t", text)).findings == ()
    parsed = parse(Source("t", text + "#"))
    assert [finding.check for finding in parsed.findings] == ["limit"]
    assert parsed.tree.lines == ()


def test_line_length() -> None:
    start = "bus A\nuse "
    assert parse(Source("t", start + '"' + "x" * (LINE_LENGTH - 6) + '"')).findings == ()
    assert only_finding(start + '"' + "x" * (LINE_LENGTH - 5) + '"', "limit") == "u"


@pytest.mark.parametrize("number", ["9" * DIGITS, "9" * (DIGITS - 3) + ".123", "0.5"])
def test_digits_that_can_be_kept(number: str) -> None:
    assert parse(Source("t", f"resistor R1 1 2 {number} ohm at cab ({number}, 3)")).findings == ()


@pytest.mark.parametrize("number", ["9" * (DIGITS + 1), "9" * DIGITS + ".1"])
def test_digits_that_cannot_be_kept(number: str) -> None:
    assert only_finding(f"resistor R1 1 2 {number} ohm", "limit") == f"{number} ohm"
    assert only_finding(f"resistor R1 1 2 at cab ({number}, 3)", "limit") == f"({number}, 3)"
    # An id may have as many as it likes.
    assert parse(Source("t", f"resistor R{number} 1 2")).findings == ()


@pytest.mark.parametrize("character", "\x00\x07\x1b\x7f\x9b\u202e\u2066\ufffe\ufffd\ud800")
@pytest.mark.parametrize("text", ['note "a{}b"\n', "bus B # a{}b\n", "bus B {}\n"])
def test_characters_that_hide_something(text: str, character: str) -> None:
    assert only_finding(text.format(character), "syntax") == character


def test_a_lone_carriage_return_ends_no_line() -> None:
    assert only_finding("bus A # feed\rbus B\n", "syntax") == "\r"
    assert parse(Source("t", "bus A # feed\r\nbus B\r\n")).findings == ()
