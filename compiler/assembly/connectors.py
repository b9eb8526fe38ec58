"""Connectors: cavities, halves, and what stands in cavities that no wire reaches."""

from __future__ import annotations

import re
from collections.abc import Mapping

from compiler.assembly.collect import Declared
from compiler.assembly.context import Context, block_statements
from compiler.assembly.devices import grid
from compiler.model.items import Connector
from compiler.units import read_quantity
from grammar.source import Span
from grammar.tree import SyntaxTree, Word

MAX_CAVITIES = 1000
_ROW = re.compile(r"[1-9][0-9]{0,3}")
_LISTS = ("spare", "plugged", "doubled", "numbered", "rows")
_GIVEN_ONCE = ("rows", "pins")
_SIDES = ("harness", "component")  # of a component connector, as `Connector.half_name` calls them


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
    lists, pins = _lines(context, declared, halves)
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
        rows=_rows(context, declared.id, lists["rows"], len(cavities)),
        pins=pins,
    )


def _lines(
    context: Context, declared: Declared, halves: tuple[str, str]
) -> tuple[dict[str, list[tuple[Word, Span, str]]], int | None]:
    """What the lines of a connector's block list, each word with its place and the half it speaks of (empty: both), and
    the half that has the pins."""
    lists: dict[str, list[tuple[Word, Span, str]]] = {name: [] for name in _LISTS}
    pins: int | None = None
    once: set[str] = set()
    for statement, line in block_statements(declared):
        keyword = statement.word.text
        if keyword in _GIVEN_ONCE:
            if keyword in once:
                says = f"{declared.id} says `{keyword}` twice"
                context.wrong(line.tree.span(statement), says, "keep one of the two")
                continue
            once.add(keyword)
        if keyword == "pins":
            pins = _half_of(context, declared, statement.clauses[0].values[0], line.tree, halves)
            continue
        if keyword not in lists:
            context.wrong(line.tree.span(statement), f"`{keyword}` cannot stand in a connector's block")
            continue
        half = next((c.values[0] for c in statement.clauses if c.word.text == "on"), None)
        side = half.text if half is not None else ""
        if half is not None and side not in halves:
            context.missing(side, f"half of {declared.id}", line.tree.span(half), [h for h in halves if h])
            side = ""
        lists[keyword] += [(word, line.tree.span(word), side) for word in statement.values]
    return lists, pins


def _half_of(context: Context, declared: Declared, word: Word, tree: SyntaxTree, halves: tuple[str, str]) -> int | None:
    """The half that a word names: by its harness, of a component connector `harness` or `component`."""
    names = _SIDES if declared.inside else halves
    if word.text in names:
        return names.index(word.text)
    if any(names):  # else the connector's own line has said what is missing
        context.missing(word.text, f"half of {declared.id}", tree.span(word), names)
    return None


def _rows(context: Context, owner: str, words: list[tuple[Word, Span, str]], count: int) -> tuple[int, ...]:
    """Cavities in each row. One number is that of equal rows; several are the cavities in each."""
    for word, span, _ in words:
        if not _ROW.fullmatch(word.text):
            mend = "write `rows 2` for two equal rows, or `rows 3 4 3` for the cavities in each row"
            context.wrong(span, f"`rows` takes numbers, not {word.text}", mend)
            return ()
    rows = tuple(int(word.text) for word, _, _ in words)
    if not rows or not count:
        return ()
    at = words[0][1]._replace(end=words[-1][1].end)
    if len(rows) > 1:
        if sum(rows) == count:
            return rows
        says = f"the rows of {owner} hold {sum(rows)} cavities, and it has {count}"
        context.wrong(at, says, f"give each row its cavities, {count} in all")
        return ()
    across, over = divmod(count, rows[0])
    if across and not over:
        return (across,) * rows[0]
    says = f"{count} cavities do not make {rows[0]} equal rows"
    context.wrong(at, says, f"give the cavities of each row, such as `rows {_uneven(count, rows[0])}`")
    return ()


def _uneven(count: int, rows: int) -> str:
    """An example of rows that hold all cavities."""
    rows = min(rows, count)
    across, over = divmod(count, rows)
    return " ".join(str(across + (row < over)) for row in range(rows))


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
