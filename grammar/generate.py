"""Makes `loom.table.json` from `loom.lark`: lark compiles the grammar here, once, so that no run has to.

Run `python -m grammar.generate` after every change of the grammar. What is written depends on the grammar alone, not
on the order in which lark numbers its states, so that the file changes only where the grammar did.
"""

from __future__ import annotations

import hashlib
import json
from collections import deque
from importlib.resources import files
from pathlib import Path
from typing import Any

GRAMMAR = "loom.lark"
TABLE = "loom.table.json"
STARTS = (
    "file variant_lines colours_lines fuse_block_lines connector_lines device_lines circuit_lines cable_lines"
    " twist_lines sheet_lines scenario_lines state_lines"
).split()


def grammar_text() -> str:
    """The text of the grammar file."""
    return files("grammar").joinpath(GRAMMAR).read_text("utf-8")


def build_table(text: str) -> dict[str, Any]:
    """The parse table of a lark grammar, as plain data.

    patterns   regular expression of each terminal that is not a fixed word
    words      fixed words and marks, each with the name of its terminal (the word in capitals)
    rules      `[symbol, number of children, what to build]`; nothing to build: the children pass upward
    actions    for each state, terminal -> n: go to state n - 1 (n > 0), or reduce by rule -n - 1 (n < 0)
    gotos      for each state, symbol -> state
    starts     start symbol -> `[first state, accepting state]`

    Raises lark's GrammarError for a grammar that is not LALR(1).
    """
    from lark import Lark
    from lark.parsers.lalr_analysis import Shift

    lark = Lark(text, parser="lalr", start=STARTS, keep_all_tokens=True, maybe_placeholders=False)
    table = lark.parser.parser._parse_table  # lark offers no public way to its table
    patterns, names = {}, {}
    for terminal in sorted(lark.terminals, key=lambda terminal: terminal.name):
        if terminal.pattern.type == "str":
            names[terminal.name] = _name_of(terminal.pattern.value, terminal.name)
        else:
            patterns[terminal.name] = terminal.pattern.to_regexp()
    words = {t.pattern.value: names[t.name] for t in lark.terminals if t.name in names}

    order = _reading_order(table, Shift)
    number = {state: index for index, state in enumerate(order)}
    used = {arg for row in table.states.values() for action, arg in row.values() if action is not Shift}
    rules = sorted(used, key=lambda rule: (rule.origin.name, [symbol.name for symbol in rule.expansion]))
    rule_number = {rule: index for index, rule in enumerate(rules)}

    actions, gotos = [], []
    for state in order:
        on_terminal, on_symbol = {}, {}
        for symbol, (action, arg) in sorted(table.states[state].items()):
            if action is not Shift:
                on_terminal[names.get(symbol, symbol)] = -rule_number[arg] - 1
            elif symbol in names or symbol in patterns:
                on_terminal[names.get(symbol, symbol)] = number[arg] + 1
            else:
                on_symbol[symbol] = number[arg]
        actions.append(on_terminal)
        gotos.append(on_symbol)
    built = [[rule.origin.name, len(rule.expansion), _built(rule)] for rule in rules]
    _shorten(actions, gotos, built)
    return {
        "grammar": hashlib.sha256(text.encode()).hexdigest(),
        "patterns": patterns,
        "words": dict(sorted(words.items())),
        "rules": built,
        "starts": {name: [number[table.start_states[name]], number[table.end_states[name]]] for name in STARTS},
        "actions": actions,
        "gotos": gotos,
    }


def _shorten(actions: list[dict[str, int]], gotos: list[dict[str, int]], rules: list[list[Any]]) -> None:
    """Lead past every state that can only hand its one child upward, so that the parser never stops there."""

    def passes_to(state: int) -> str:
        if gotos[state] or len(set(actions[state].values())) != 1:
            return ""
        action = next(iter(actions[state].values()))
        symbol, size, build = rules[-action - 1] if action < 0 else ("", 0, "")
        return symbol if size == 1 and not build else ""

    passing = [passes_to(state) for state in range(len(actions))]
    for on_terminal, on_symbol in zip(actions, gotos, strict=True):
        for symbol, state in on_symbol.items():
            beyond = state
            while passing[beyond]:
                beyond = on_symbol[passing[beyond]]
            on_symbol[symbol] = beyond
        for terminal, action in on_terminal.items():
            if action > 0 and passing[action - 1]:
                on_terminal[terminal] = on_symbol[passing[action - 1]] + 1


def _name_of(word: str, name: str) -> str:
    return word.upper() if name.startswith("__ANON_") and word[0].isalpha() else name


def _reading_order(table: Any, shift: Any) -> list[int]:
    """All states, each after one that leads to it."""
    seen: dict[int, None] = {}
    queue = deque([*(table.start_states[name] for name in STARTS), *(table.end_states[name] for name in STARTS)])
    while queue:
        state = queue.popleft()
        if state not in seen:
            seen[state] = None
            queue.extend(arg for _, (action, arg) in sorted(table.states[state].items()) if action is shift)
    return list(seen)


def _built(rule: Any) -> str:
    """The name under which grammar.build knows a rule; empty for a rule whose children pass to their parent."""
    name: str = rule.options.template_source or rule.origin.name
    passes_up = name.startswith("_") or (rule.options.expand1 and len(rule.expansion) == 1)
    return "" if passes_up else name


def table_text(table: dict[str, Any]) -> str:
    """The table as it stands in its file: one entry a line, so that a change can be read."""
    parts = []
    for key, value in table.items():
        if isinstance(value, list):
            rows = ",\n".join(json.dumps(row, separators=(",", ":")) for row in value)
            parts.append(f"{json.dumps(key)}: [\n{rows}\n]")
        elif isinstance(value, dict):
            rows = ",\n".join(f"{json.dumps(k)}: {json.dumps(v)}" for k, v in value.items())
            parts.append(f"{json.dumps(key)}: {{\n{rows}\n}}")
        else:
            parts.append(f"{json.dumps(key)}: {json.dumps(value)}")
    return "{\n" + ",\n".join(parts) + "\n}\n"


def main() -> None:
    """Write the table beside the grammar."""
    place = Path(str(files("grammar").joinpath(TABLE)))
    place.write_text(table_text(build_table(grammar_text())), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
