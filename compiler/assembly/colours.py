"""The colour table of a variant: a built-in one, or one declared in source on top of it."""

from __future__ import annotations

from compiler.assembly.collect import Collected, Declared
from compiler.assembly.names import nearest
from compiler.model.variant import Unresolved
from compiler.standards.colours import Colour, ColourError, ColourTable, builtin_table, builtin_tables
from compiler.standards.swatches import colour_word, swatch
from grammar.finding import Finding, Severity
from grammar.tree import Statement, SyntaxTree

DEFAULT = "iec-60757"


def colour_table(collected: Collected, variant: Statement, tree: SyntaxTree) -> ColourTable:
    """The table the variant names, the only one declared, or IEC 60757."""
    declared = collected.space("colour table")
    lines = variant.block.lines if variant.block else ()
    chosen = next((n.values[0] for n in lines if isinstance(n, Statement) and n.word.text == "colours"), None)
    name = chosen.text if chosen else next(iter(declared), DEFAULT) if len(declared) == 1 else DEFAULT
    if name in declared:
        return _declared_table(collected, declared[name])
    if name in builtin_tables():
        return builtin_table(name)
    assert chosen is not None
    known = [*declared, *builtin_tables()]
    collected.unresolved.append(Unresolved(name, "colour table", tree.span(chosen), nearest(name, known)))
    return builtin_table(DEFAULT)


def _declared_table(collected: Collected, declared: Declared) -> ColourTable:
    base = builtin_table(DEFAULT)
    colours: list[Colour] = []
    tracers: dict[str, str] = {}

    def wrong(line_says: str, span: object, mend: str = "") -> None:
        collected.findings.append(Finding("syntax", Severity.ERROR, line_says, span, (), mend))  # type: ignore[arg-type]

    for line in declared.lines:
        node, tree = line.node, line.tree
        if not isinstance(node, Statement):
            continue
        words = node.values
        if node.word.text == "base":
            if words[0].text in builtin_tables():
                base = builtin_table(words[0].text)
            else:
                near = nearest(words[0].text, builtin_tables())
                collected.unresolved.append(Unresolved(words[0].text, "colour table", tree.span(words[0]), near))
        elif node.word.text == "colour":
            try:
                rgb = words[2].value if len(words) > 2 else _guess(words[1].value)
                colours.append(Colour.of(words[0].text, words[1].value, rgb))
            except ValueError as error:
                wrong(str(error), tree.span(node))
        elif node.word.text == "tracer":
            try:
                base.extended(declared.id, "", colours, {words[0].text: words[1].text})
            except (ColourError, ValueError) as error:
                wrong(str(error), tree.span(node))
                continue
            tracers[words[0].text] = words[1].text
    title = next((w.value for w in declared.node.values[1:2]), declared.id)
    try:
        return base.extended(declared.id, title, colours, tracers)
    except (ColourError, ValueError) as error:
        wrong(str(error), declared.at())
        return base


def _guess(name: str) -> str:
    """A swatch for a colour declared without one: that of the word, or a plain grey."""
    word = colour_word(name)
    return swatch(word).rgb if word else "#888888"
