"""Cables and their cores."""

from __future__ import annotations

from collections.abc import Mapping

from compiler.assembly.collect import Declared
from compiler.assembly.context import Context, block_statements
from compiler.model.items import Cable, Core
from compiler.standards.sizes import Size
from compiler.units import read_quantity
from grammar.tree import Statement, SyntaxTree


def build_cable(context: Context, declared: Declared, harnesses: Mapping[str, object]) -> Cable:
    """The cable of a declaration."""
    common = context.common(declared)
    node, tree = declared.node, declared.tree_line.tree
    harness = next(
        (context.known(c.values[0], tree, harnesses, "harness") for c in node.clauses if c.word.text == "in"),
        "",
    )
    cores: dict[str, Core] = {}
    twists: list[tuple[str, ...]] = []
    for statement, line in block_statements(declared):
        if statement.rule == "core":
            core = _core(context, statement, line.tree)
            if core.name in cores:
                context.wrong(core.at, f"cable {declared.id} has two cores {core.name}")
            cores[core.name] = core
        elif statement.rule == "cable_twist":
            twists.append(tuple(word.text for word in statement.values))
            for word in statement.values:
                context.known(word, line.tree, cores, f"core of cable {declared.id}")
    return Cable(*common.named, common.place, harness=harness, cores=cores, twists=tuple(twists))


def _core(context: Context, statement: Statement, tree: SyntaxTree) -> Core:
    size: Size | None = None
    colour: str | None = None
    spare = False
    for word in statement.values[1:]:
        if word.kind == "QUANTITY":
            if read_quantity(word.text).dimension == "size":
                size = context.size(word, tree)
            else:
                context.wrong(tree.span(word), f"a core takes a size and a colour, not {word.text}")
        elif word.text == "spare":
            spare = True
        else:
            colour = context.colour(word, tree)
    first = statement.values[0]
    return Core(first.text, size, colour, statement.word.text == "shield", tree.span(first), spare)
