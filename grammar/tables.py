"""The parse table as it runs, loaded from `loom.table.json` (made by grammar.generate)."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pkgutil import get_data
from sys import intern
from typing import Any

from grammar.build import BUILDERS

# Order of the groups in the scanner; the most frequent first where no other could match the same text.
KINDS = ("", "QUANTITY", "NAME", "_SEP", "MARK", "STRING", "POINT", "COMMENT", "BRACE")
NAME, SEP, COMMENT, BRACE = KINDS.index("NAME"), KINDS.index("_SEP"), KINDS.index("COMMENT"), KINDS.index("BRACE")

Scan = Callable[[str, int, int], "re.Match[str] | None"]


@dataclass(frozen=True, slots=True, eq=False)
class State:
    """One state of the parser.

    actions  terminal -> n: go to state n - 1 (n > 0), or reduce by rule -n - 1 (n < 0)
    gotos    symbol -> state
    words    the fixed words and marks that count as such here, with their terminals; anywhere else they are names
    scan     matches the next token, after blanks
    """

    actions: Mapping[str, int]
    gotos: Mapping[str, int]
    words: Mapping[str, str]
    scan: Scan


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """Everything the parser needs.

    rules   `(symbol, number of children, builder)`; no builder: the children pass to the parent
    starts  start symbol -> (first state, accepting state)
    words   every fixed word and mark -> its terminal
    """

    states: tuple[State, ...]
    rules: tuple[tuple[str, int, Callable[[list[Any]], Any] | None], ...]
    starts: Mapping[str, tuple[int, int]]
    words: Mapping[str, str]
    blank_pattern: re.Pattern[str]

    def blank(self, text: str, start: int, end: int) -> int:
        """Where the blanks end that begin at `start`."""
        found = self.blank_pattern.match(text, start, end)
        return found.end() if found else start


def read_table(data: Mapping[str, Any]) -> Table:
    """A table from the data that grammar.generate makes."""
    patterns: Mapping[str, str] = data["patterns"]
    words = {intern(word): intern(name) for word, name in data["words"].items()}
    with_quantity = _scanner(patterns, patterns["QUANTITY"])
    # Where no quantity may stand, `15 A` is two names.
    without = _scanner(patterns, r"(?!)")
    states = []
    for actions, gotos in zip(data["actions"], data["gotos"], strict=True):
        states.append(
            State(
                {intern(name): action for name, action in actions.items()},
                {intern(name): state for name, state in gotos.items()},
                {word: name for word, name in words.items() if name in actions},
                with_quantity if "QUANTITY" in actions else without,
            )
        )
    rules = tuple([(intern(symbol), size, BUILDERS[built] if built else None) for symbol, size, built in data["rules"]])
    starts = {name: (first, last) for name, (first, last) in data["starts"].items()}
    return Table(tuple(states), rules, starts, words, re.compile(patterns["BLANK"]))


def _scanner(patterns: Mapping[str, str], quantity: str) -> Scan:
    groups = {**patterns, "QUANTITY": quantity, "MARK": r"--|[?,]", "BRACE": r"[{}]"}
    # The blanks are atomic: what follows them never gives one back.
    wanted = "|".join(f"({groups[kind]})" for kind in KINDS[1:])
    return re.compile(f"(?>{patterns['BLANK']})?(?:{wanted})").match


@cache
def table() -> Table:
    """The table of the language."""
    return read_table(json.loads(get_data("grammar", "loom.table.json") or b""))
