"""The parser's loop: text to tree in one pass over the table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from grammar.tables import BRACE, COMMENT, KINDS, NAME, Table
from grammar.tree import Word

NESTING = 24  # blocks inside blocks; a service manual needs five

_new = tuple.__new__  # what Word(...) does, without its call: the tightest loop of all


@dataclass(slots=True, eq=False)
class Stuck(Exception):  # noqa: N818 - no fault of a program, but where a text ends to make sense
    """The text cannot go on like this.

    found   the word that does not fit; kind "" for a character that begins no word, "END" for the end of the text,
            "DEEP" for a brace beyond `NESTING`
    before  the last word that did fit, or None
    stack   the states of the parser at that point
    """

    found: Word
    before: Word | None
    stack: list[int]


def run(  # noqa: C901 - one loop, unrolled by hand: a call for each token would double the time
    table: Table,
    text: str,
    symbol: str,
    start: int = 0,
    end: int | None = None,
    comments: list[Word] | None = None,
    closing: Sequence[Word] = (),
) -> Any:
    """What the rule `symbol` builds from `text[start:end]`, read as if the words `closing` stood behind it.

    Comments are added to `comments`. Raises Stuck at the first word that cannot stand where it does.
    """
    states, rules = table.states, table.rules
    number, accepting = table.starts[symbol]
    state = states[number]
    stack = [number]
    values: list[Any] = []
    position, stop = start, len(text) if end is None else end
    depth = 0
    before: Word | None = None
    behind = iter(closing)
    while True:
        match = state.scan(text, position, stop)
        if match is None:
            position = table.blank(text, position, stop)
            if position < stop:
                raise Stuck(_new(Word, ("", text[position], position, position + 1)), before, stack)
            word = next(behind, None) or _new(Word, ("END", "", stop, stop))
            terminal = "$END" if word.kind == "END" else word.kind
        else:
            group = match.lastindex or 0
            begin, position = match.span(group)
            if group == NAME:
                found = match[group]
                terminal = state.words.get(found, "NAME")
            elif group == COMMENT:
                if comments is not None:
                    comments.append(_new(Word, ("COMMENT", match[group], begin, position)))
                continue
            else:
                found = match[group]
                terminal = state.words.get(found, KINDS[group])
                if group == BRACE:
                    depth += 1 if found == "{" else -1
                    if depth > NESTING:
                        raise Stuck(_new(Word, ("DEEP", found, begin, position)), before, stack)
            word = _new(Word, (terminal, found, begin, position))
        while True:
            action = state.actions.get(terminal, 0)
            if action > 0:
                number = action - 1
                values.append(word)
                break
            if action == 0:
                raise Stuck(word, before, stack)
            name, size, build = rules[-action - 1]
            if size == 1 and build is None:
                del stack[-1]
            else:
                children: list[Any] = []
                if size:
                    for child in values[-size:]:
                        if type(child) is not list:
                            children.append(child)
                        elif children:
                            children += child
                        else:
                            children = child  # a list that grew on the left is nobody else's
                    del values[-size:], stack[-size:]
                values.append(children if build is None else build(children))
            number = states[stack[-1]].gotos[name]
            stack.append(number)
            state = states[number]
            if number == accepting and terminal == "$END":
                return values[-1]
        stack.append(number)
        state = states[number]
        before = word
