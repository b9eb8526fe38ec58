"""What could have stood where the parser got stuck, in words."""

from __future__ import annotations

import unicodedata

from grammar.engine import Stuck
from grammar.tables import Table
from grammar.tree import Word
from grammar.words import EXAMPLES, FOLLOWS, NAMED_LINES, PLACES, example

ENDS = frozenset(("_SEP", "$END", "RBRACE"))
GENERAL = frozenset(("AT", "ACCESS", "NOTE", "ALLOW"))
OPEN_KINDS = ("NAME", "QUANTITY", "STRING", "POINT", "UNKNOWN", "DASHES", "COMMA", "LBRACE")
_GENERIC = {
    "NAME": "a name",
    "QUANTITY": "a quantity with its unit",
    "STRING": "a text in double quotes",
    "POINT": "a point such as `(118, 64)`",
    "UNKNOWN": "`?`",
    "DASHES": "`--`",
    "COMMA": "a comma",
    "LBRACE": "`{`",
}
_MOST_ALTERNATIVES = 4
_LONGEST_QUOTE = 40


def accepted(table: Table, stack: list[int]) -> frozenset[str]:
    """The terminals that can stand next, all reductions tried out."""
    return frozenset(terminal for terminal in table.states[stack[-1]].actions if _fits(table, stack, terminal))


def _fits(table: Table, stack: list[int], terminal: str) -> bool:
    stack = stack.copy()
    while (action := table.states[stack[-1]].actions.get(terminal, 0)) < 0:
        name, size, _ = table.rules[-action - 1]
        if size:
            del stack[-size:]
        stack.append(table.states[stack[-1]].gotos[name])
        if terminal == "$END" and "$END" not in table.states[stack[-1]].actions:
            return True  # the accepting state
    return action > 0


def sentence(stuck: Stuck, can: frozenset[str], symbol: str, start: int) -> str:
    """What was expected after what, and what stands there instead, in a statement that begins at `start`."""
    found, before = stuck.found, stuck.before
    if before is None or before.kind in ("_SEP", "LBRACE"):
        return f"a line in {PLACES[symbol]} cannot begin with {quoted(found.text)}"
    words = _alternatives(can, before, symbol)
    if before.start == start and before.kind == "NAME" and words == [_GENERIC["NAME"]]:
        words = ["an id"]  # of a device
    if found.kind in ("END", "_SEP", "RBRACE"):
        ends = "but the block ends" if found.kind == "RBRACE" else "but the line ends"
        return f"after {quoted(before.text)} comes {_either(words)}, {ends}"
    if len(words) > _MOST_ALTERNATIVES:
        return f"{quoted(found.text)} cannot stand after {quoted(before.text)}"
    return f"after {quoted(before.text)} comes {_either(words)}, not {quoted(found.text)}"


def how_it_reads(symbol: str, first: str, *, keyword: bool) -> str:
    """The shape of the line that begins with `first`, for the mend; an example where there is one."""
    if keyword:
        return f"a line with `{first}` reads: {example(symbol, first)}"
    if symbol in NAMED_LINES:
        return NAMED_LINES[symbol]
    return f"lines in {PLACES[symbol]} begin with {_either([f'`{word}`' for word in EXAMPLES[symbol]])}"


def quoted(text: str) -> str:
    """A word as shown in a sentence: cut if long, with the name of a character that cannot be seen."""
    if (len(text) == 1 and not text.isprintable()) or text.isspace():
        return f"the character {unicodedata.name(text[:1], f'U+{ord(text[:1]):04X}').lower()}"
    if len(text) > _LONGEST_QUOTE:
        text = text[: _LONGEST_QUOTE - 1] + "…"
    return f"`{text}`"


def _alternatives(can: frozenset[str], before: Word, symbol: str) -> list[str]:
    named = can - GENERAL - ENDS or can - ENDS
    if named == {"NAME", "UNKNOWN"} and symbol == "circuit_lines":
        words = ["a wire end such as `K7.87` or `SP101`"]
    elif _meant(before) and len(named) > _MOST_ALTERNATIVES:
        words = [_meant(before)]
    else:
        words = [_phrase(kind, before, named) for kind in OPEN_KINDS if kind in named]
        words += sorted(f"`{kind.lower()}`" for kind in named.difference(OPEN_KINDS))
    if can & ENDS and len(words) < _MOST_ALTERNATIVES:
        words.append("the end of the line")
    return words


def _phrase(kind: str, before: Word, named: frozenset[str]) -> str:
    meant = _meant(before)
    if meant and kind in ("NAME", "QUANTITY", "STRING") and kind == next(k for k in OPEN_KINDS if k in named):
        return meant
    return _GENERIC[kind]


def _meant(before: Word) -> str:
    return "" if before.kind in ("NAME", "STRING", "QUANTITY", "POINT", "UNKNOWN") else FOLLOWS.get(before.text, "")


def _either(words: list[str]) -> str:
    return ", ".join(words[:-1]) + " or " + words[-1] if len(words) > 1 else "".join(words)
