"""From words to the syntax tree, inline while the parser runs: no second tree is ever built.

One function for each rule of loom.lark. It gets the rule's children in order: words, and what other rules built.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from typing import Any

from grammar.tree import Block, Clause, Condition, Node, Statement, When, Wire, Word

_LIKE_A_CURRENT = re.compile(r"\d+A")
_new = tuple.__new__  # what Word(...) and its like do, without their calls


def _keyword(word: Word) -> Word:
    return _new(Word, ("KEYWORD", word[1], word[2], word[3]))


def _statement(rule: str, children: list[Any]) -> Statement:
    values: list[Word] = []
    clauses: list[Clause] = []
    block: Block | None = None
    for child in children[1:]:
        kind = type(child)
        if kind is Word:
            values.append(child)
        elif kind is Clause:
            clauses.append(child)
        else:
            block = child
    word = children[0]
    if word.kind != "NAME":
        word = _keyword(word)
    end = max(
        values[-1].end if values else word.end,
        clauses[-1].end if clauses else 0,
        block.end if block else 0,
    )
    return _new(Statement, (word, tuple(values), tuple(clauses), block, word.start, end, rule, None))


def _part(children: list[Any]) -> Statement:
    """A part of a device. `1A` is a terminal of a contact or coil there, and behind `when` a position; a current stands
    apart, `1 A`."""
    names = children[0].text in ("contact", "coil")
    read: list[Any] = []
    for child in children:
        kind = child.kind if type(child) is Word else ""
        names = names or kind == "WHEN"
        like = names and kind == "QUANTITY" and _LIKE_A_CURRENT.fullmatch(child.text)
        read.append(child._replace(kind="NAME") if like else child)
    return _statement("part", read)


def _wire(children: list[Any]) -> Wire:
    values: list[Word] = []
    clauses: list[Clause] = []
    label, a, _, b = children[:4]
    end = b.end
    for child in children[4:]:
        (values if type(child) is Word else clauses).append(child)
        end = child.end
    return _new(Wire, (label, a, b, tuple(values), tuple(clauses), label.start, end, None))


def _prefixed(children: list[Any]) -> Node:
    prefix, node = _keyword(children[0]), children[1]
    if isinstance(node, Statement | Wire):
        return node._replace(prefix=prefix, start=prefix.start)
    # `replace when`, `extend note`: kept as a statement that assembly refuses with a finding.
    return Statement(prefix, (), (), Block((node,), node.start, node.end), prefix.start, node.end, "prefixed")


def _lines(children: list[Any]) -> tuple[Node, ...]:
    return tuple([child for child in children if type(child) is not Word])  # without separators


def _block(children: list[Any]) -> Block:
    return Block(_lines(children), children[0].start, children[-1].end)


def _when(children: list[Any]) -> When:
    word, condition, block = children
    return When(_condition(condition), block, word.start, block.end)


def _condition(child: Word | Condition) -> Condition:
    return child if isinstance(child, Condition) else Condition("is", child, (), child.start, child.end)


def _negation(children: list[Any]) -> Condition:
    return Condition("not", children[1], (), children[0].start, children[1].end)


def _joined(op: str, children: list[Any]) -> Condition:
    terms = tuple([_condition(child) for child in children[::2]])
    return Condition(op, None, terms, terms[0].start, terms[-1].end)


def _clause(children: list[Any]) -> Clause:
    return _new(Clause, (_keyword(children[0]), tuple(children[1:])))


def _infix(children: list[Any]) -> Clause:
    left, mark, right = children
    return Clause(_keyword(mark), (left, right))


def _fact(children: list[Any]) -> Clause:
    return Clause(children[0], tuple(children[1:]))


def _facts(children: list[Any]) -> Statement:
    word, facts = _keyword(children[0]), tuple([child for child in children[1:] if type(child) is Clause])
    return Statement(word, (), facts, None, word.start, facts[-1].end, word.text)


def _fault_place(children: list[Any]) -> Clause:
    start = children[0].start
    return Clause(Word("PLACE", "", start, start), tuple(children))


# Rules that are a keyword with values, clauses and perhaps a block.
_PLAIN = (
    "variant variant_fact use omit option zone harness structure colours colours_fact kind fuse_block bus splice ground"
    " connector cavities device circuit cable core cable_twist twist twist_wires sheet sheet_list sheet_system"
    " state state_sheets expect complaint trouble_code"
).split()
_LINES = (
    "file variant_lines colours_lines fuse_block_lines connector_lines device_lines circuit_lines cable_lines"
    " twist_lines sheet_lines scenario_lines state_lines"
).split()
_CLAUSES = "place access note allow within fixed_to not_given word_of_wire recoloured drawing named_state".split()

BUILDERS: dict[str, Callable[[list[Any]], Any]] = {
    **{rule: partial(_statement, rule) for rule in _PLAIN},
    **dict.fromkeys(_LINES, _lines),
    **dict.fromkeys(_CLAUSES, _clause),
    "part": _part,
    "wire": _wire,
    **dict.fromkeys(("replace", "extend", "replace_wire"), _prefixed),
    **dict.fromkeys(("block", "scenario"), _block),
    "when": _when,
    "negation": _negation,
    "all": partial(_joined, "and"),
    "any": partial(_joined, "or"),
    **dict.fromkeys(("extent", "halves"), _infix),
    "fact": _fact,
    **dict.fromkeys(("set", "then", "seen"), _facts),
    "fault_place": _fault_place,
}
