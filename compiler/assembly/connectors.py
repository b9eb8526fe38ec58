"""Connectors: cavities, halves, and what stands in cavities that no wire reaches."""

from __future__ import annotations

from collections.abc import Mapping

from compiler.assembly.collect import Declared
from compiler.assembly.context import Context, block_statements
from compiler.assembly.devices import grid
from compiler.model.items import Connector
from compiler.units import read_quantity
from grammar.source import Span
from grammar.tree import Word

MAX_CAVITIES = 1000


def build_connector(context: Context, declared: Declared, harnesses: Mapping[str, object]) -> Connector:
    """The connector of a declaration; `declared.inside` is the device that carries it, if any."""
    common = context.common(declared)
    node, tree = declared.node, declared.tree_line.tree
    halves = _halves(context, declared, harnesses)
    count: int | None = None
    for word in node.values[1:]:
        if word.kind != "QUANTITY":
            continue
        quantity = read_quantity(word.text)
        if quantity.dimension != "cavities" or not quantity.value.is_integer():
            context.wrong(
                tree.span(word),
                f"a connector takes a number of cavities, not {quantity}",
                "write `10 cavities`",
            )
        elif not 1 <= quantity.value <= MAX_CAVITIES:
            context.wrong(tree.span(word), f"a connector has 1 to {MAX_CAVITIES} cavities")
        else:
            count = int(quantity.value)
    lists: dict[str, list[tuple[Word, Span, str]]] = {
        "spare": [],
        "plugged": [],
        "doubled": [],
        "numbered": [],
    }
    for statement, line in block_statements(declared):
        if statement.word.text not in lists:
            context.wrong(line.tree.span(statement), f"`{statement.word.text}` cannot stand in a connector's block")
            continue
        half = next((c.values[0] for c in statement.clauses if c.word.text == "on"), None)
        side = half.text if half is not None else ""
        if half is not None and side not in halves:
            context.missing(side, f"half of {declared.id}", line.tree.span(half), [h for h in halves if h])
            side = ""
        lists[statement.word.text] += [(word, line.tree.span(word), side) for word in statement.values]
    numbered = _numbered(context, declared, lists["numbered"])
    cavities = numbered or tuple(str(number) for number in range(1, (count or 0) + 1))
    if count is not None and numbered and len(numbered) != count:
        context.wrong(
            lists["numbered"][0][1],
            f"{declared.id} has {count} cavities but {len(numbered)} are numbered",
            f"number {count} cavities, or say `{len(numbered)} cavities`",
        )
    if not cavities and not any(word.kind == "QUANTITY" for word in node.values):
        context.wrong(
            declared.at(),
            f"connector {declared.id} does not say how many cavities it has",
            "write `10 cavities` after its name",
        )
    spare_rest = False
    marks: dict[str, dict[str, set[int]]] = {"spare": {}, "plugged": {}, "doubled": {}}
    listed: list[tuple[str, Span]] = []
    for mark, found in marks.items():
        for word, span, side in lists[mark]:
            if mark == "spare" and word.text == "rest":
                spare_rest = True
                continue
            sides = {halves.index(side)} if side else {0, 1}
            for name in grid(word.text) or (word.text,):
                listed.append((name, span))
                found.setdefault(name, set()).update(sides)
    return Connector(
        *common.named,
        common.place,
        cavities=cavities,
        halves=halves,
        device=declared.inside,
        spare=_frozen(marks["spare"]),
        plugged=_frozen(marks["plugged"]),
        doubled=_frozen(marks["doubled"]),
        spare_rest=spare_rest,
        listed=tuple(listed),
    )


def _numbered(context: Context, declared: Declared, words: list[tuple[Word, Span, str]]) -> tuple[str, ...]:
    """Cavity names in face order, from the `numbered` lines."""
    names: dict[str, None] = {}
    for word, span, _ in words:
        own = grid(word.text) or (word.text,)
        if len(own) == 1 and ".." in word.text:
            mend = "write `1..10` or, for rows and columns, `A1..C8`"
            context.wrong(span, f"`{word.text}` is no range of cavities", mend)
        elif len(names) + len(own) > MAX_CAVITIES:
            context.wrong(span, f"a connector has 1 to {MAX_CAVITIES} cavities")
        elif again := next((name for name in own if name in names), ""):
            says = f"cavity {again} of {declared.id} is numbered twice"
            context.wrong(span, says, "give each cavity a name of its own")
        else:
            names.update(dict.fromkeys(own))
    return tuple(names)


def _halves(context: Context, declared: Declared, harnesses: Mapping[str, object]) -> tuple[str, str]:
    node, tree = declared.node, declared.tree_line.tree
    clause = next((c for c in node.clauses if c.word.text == "--"), None)
    if declared.inside:
        if clause is not None:
            context.wrong(
                tree.span(clause),
                "a component connector has one harness half; the other half is the component",
                "leave the harnesses out",
            )
        return ("", "")
    if clause is None:
        context.wrong(
            declared.at(),
            f"connector {declared.id} does not say which harnesses it joins",
            "write `HARNESS -- HARNESS`, or put it in its component's block",
        )
        return ("", "")
    a, b = (context.known(word, tree, harnesses, "harness") for word in clause.values)
    if a == b:
        context.wrong(
            tree.span(clause),
            f"connector {declared.id} joins harness {a} to itself",
            "give its two halves two harnesses",
        )
    return (a, b)


def _frozen(marks: Mapping[str, set[int]]) -> dict[str, frozenset[int]]:
    return {name: frozenset(sides) for name, sides in marks.items()}
