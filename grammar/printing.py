"""The syntax tree as rows of cells: what stands on which line, and what in which column."""

from __future__ import annotations

import re
from collections.abc import Sequence

from grammar.layout import HANGING, WIDTH, Cell, Row
from grammar.tree import Block, Clause, Condition, Node, Statement, SyntaxTree, When, Wire, Word

_INDENT = 2
_FACTS = ("set", "then", "seen")
# Statements that are lists: only their words are lined up.
_LISTS = ("cavities", "omit", "sheet_list", "state_sheets", "twist_wires", "cable_twist")
_LIST_WORDS = {"variant_fact": ("options",), "part": ("positions", "terminals", "spare")}
# Plain words of device kinds that begin a column of their own.
_MARKS = ("slot", "from", "case", "colour", "operated-by")
# Parts of devices that are known by their first terminal.
_PARTS_WITH_ID = ("pin", "trace")
UNITS = frozenset(
    "mm2 mm² mm cm mohm kohm ohm mV mA min uF kPa kW Ah AWG SAE degC °C cavities cavity cores core m V A W %".split()
)
_WHOLE_NUMBER = re.compile(r"\d+(?:/0|\.\d+)?")
_NUMBER = re.compile(r"(-?[\d./]+)\s*(\S+)")
_EMPTY_LINE = re.compile(r"\n[ \t\r\f\ufeff]*\n")
_SAME_LINE = re.compile(r"(?:[ \t\r\f\ufeff;]|\\\r?\n)*")
_OWN_COLUMN = ("in", "on", "--", "by")
_WIRE_COLUMNS = ("size", "colour", "length")
_SIZES = ("mm2", "mm²", "AWG", "SAE")


def rows(tree: SyntaxTree) -> list[Row]:
    """Every line of the formatted file, in order."""
    printer = _Printer(tree)
    printer.lines(tree.lines, 0, len(tree.source.text), 0)
    return printer.rows


def word_text(word: Word) -> str:
    """A word in its one spelling: quantities with one blank before the unit, points with one behind the comma."""
    if word.kind == "QUANTITY":
        number = _NUMBER.fullmatch(word.text)
        return f"{number[1]} {number[2]}" if number else word.text
    if word.kind == "POINT":
        x, _, y = word.text[1:-1].partition(",")
        return f"({x.strip()}, {y.strip()})"
    return word.text


def _spelt(words: Sequence[Word], behind: Word | None = None, *, names: bool = False) -> list[str]:
    """Words in their one spelling, kept from growing together: of `21 \\` and `W` on the next line no `21 W` is made.

    `behind` is the word that stands before them. In a list everything is a name (`names`): `1A` is no current there.
    """
    texts = []
    for word in words:
        text = " ".join(word.text.split()) if names else word_text(word)
        if behind is not None and behind.kind == "NAME" and _WHOLE_NUMBER.fullmatch(behind.text) and text in UNITS:
            text = f"\\\n{' ' * HANGING}{text}"
        texts.append(text)
        behind = word
    return texts


class _Printer:
    def __init__(self, tree: SyntaxTree) -> None:
        self.text = tree.source.text
        self.comments = tree.comments
        self.next_comment = 0
        self.rows: list[Row] = []
        self.blocks = 0

    # ---- lines and comments ---------------------------------------------------------------------------------------

    def lines(self, nodes: Sequence[Node], start: int, end: int, indent: int) -> None:
        """The rows of a block that reaches from `start` to `end`, with the comments in it."""
        self.blocks += 1
        block = self.blocks
        position = start
        first = True
        for node in nodes:
            position, first = self.comments_before(node.start, position, indent, first=first)
            blank = not first and self.is_blank(position, node.start)
            count = len(self.rows)
            self.node(node, indent, block, "")
            self.rows[count].blank = blank
            first = False
            position = self.trailing_comment(node.end)
        self.comments_before(end, position, indent, first=first)

    def is_blank(self, start: int, end: int) -> bool:
        return bool(_EMPTY_LINE.search(self.text, start, end))

    def comments_before(self, limit: int, position: int, indent: int, *, first: bool) -> tuple[int, bool]:
        """Rows for the comments up to `limit`; returns where the last one ends."""
        while self.next_comment < len(self.comments) and self.comments[self.next_comment].start < limit:
            comment = self.comments[self.next_comment]
            self.next_comment += 1
            blank = not first and self.is_blank(position, comment.start)
            self.rows.append(Row(indent, comment=comment.text.rstrip(), blank=blank))
            position, first = comment.end, False
        return position, first

    def trailing_comment(self, end: int) -> int:
        """Put a comment that stands on the line where the last row ended behind that row; returns its end."""
        if self.next_comment < len(self.comments):
            comment = self.comments[self.next_comment]
            if comment.start >= end and _SAME_LINE.fullmatch(self.text, end, comment.start):
                self.next_comment += 1
                self.rows[-1].comment = comment.text.rstrip()
                return comment.end
        return end

    # ---- nodes ----------------------------------------------------------------------------------------------------

    def node(self, node: Node, indent: int, block: int, before: str) -> None:
        """The rows of one node; `before` is a word that stands in front of it (`replace`, `extend`)."""
        if isinstance(node, Wire):
            self.rows.append(Row(indent, _wire_cells(node), run=("wire", block), across=True))
        elif isinstance(node, Clause):
            self.rows.append(Row(indent, (_cell("word", before, *_clause_words(node)),)))
        elif isinstance(node, When):
            cells = (_cell("word", before, "when", *_condition_words(node.condition)),)
            self.with_block(cells, node.block, indent, "", block)
        elif node.rule == "prefixed" and node.block is not None:
            self.node(node.block.lines[0], indent, block, node.word.text)
        elif node.rule in _FACTS:
            self.facts(node, indent, block)
        elif node.block is not None:
            self.with_block(_cells(node, before), node.block, indent, _run_name(node), block)
        elif _is_list(node):
            words = _texts(node)
            words += [word for clause in node.clauses for word in _clause_words(clause)]
            cells = (_cell("word", before, node.prefix.text if node.prefix else "", node.word.text),)
            self.rows.append(Row(indent, cells, " ".join(words), run=(_run_name(node), block)))
        else:
            self.rows.append(Row(indent, _cells(node, before), run=(_run_name(node), block)))

    def with_block(self, cells: tuple[Cell, ...], body: Block, indent: int, run: str, block: int) -> None:
        """A head with its block: on one line if it was and fits, else the lines between two rows."""
        short = _on_one_line(body, self.text)
        if short:
            row = Row(indent, cells, short, run=(run, block))
            if len(row.plain()) <= WIDTH or not body.lines:
                self.rows.append(row)
                return
        self.rows.append(Row(indent, cells, "{"))
        inner = self.trailing_comment(body.start + 1)
        self.lines(body.lines, inner, body.end - 1, indent + _INDENT)
        self.rows.append(Row(indent, tail="}"))

    def facts(self, node: Statement, indent: int, block: int) -> None:
        """`set`, `then` and `seen`: on one line, or a fact a line if they do not fit or have comments."""
        facts = [" ".join(_clause_words(fact)) for fact in node.clauses]
        listed = [f"{fact}," for fact in facts[:-1]] + facts[-1:]
        row = Row(indent, (_cell("word", node.word.text), _cell("facts", *listed)), run=("facts", block))
        inside = self.next_comment < len(self.comments) and self.comments[self.next_comment].start < node.end
        if not inside and len(row.plain()) <= WIDTH:
            self.rows.append(row)
            return
        hanging = indent + len("then ")
        row.run = ("", 0)
        for index, (fact, words) in enumerate(zip(node.clauses, listed, strict=True)):
            if index:
                self.comments_before(fact.start, fact.start, hanging, first=True)
                self.rows.append(Row(hanging, (_cell("facts", words),)))
            else:
                row.cells = (_cell("word", node.word.text.ljust(4)), _cell("facts", words))
                self.rows.append(row)
            if index < len(listed) - 1:
                self.trailing_comment(self.text.index(",", fact.end) + 1)


# ---- cells --------------------------------------------------------------------------------------------------------


def _cell(column: str, *words: str) -> Cell:
    return Cell(column, tuple(filter(None, words)))


def _clause_words(clause: Clause) -> list[str]:
    values = _spelt(clause.values)
    if clause.word.text in ("--", "by"):
        return [values[0], clause.word.text, values[1]]
    return [clause.word.text, *values] if clause.word.text else values


def _condition_words(condition: Condition) -> list[str]:
    if condition.word is not None:
        return ["not", condition.word.text] if condition.op == "not" else [condition.word.text]
    words: list[str] = []
    for term in condition.terms:
        words += [condition.op, *_condition_words(term)] if words else _condition_words(term)
    return words


def _wire_cells(wire: Wire) -> tuple[Cell, ...]:
    label = [wire.prefix.text] if wire.prefix else []
    cells = [
        _cell("label", *label, wire.label.text),
        _cell("a", wire.a.text),
        _cell("--", "--"),
        _cell("b", wire.b.text),
    ]
    values = wire_values(wire)
    spelt = _spelt(values)
    sorts = [_wire_column(word) for word in values]
    for column in _WIRE_COLUMNS:
        if sorts and sorts[0] == column:
            sorts.pop(0)
            cells.append(_cell(column, spelt.pop(0)))
    rest = [*spelt, *_clause_texts(wire, values)]
    if rest:
        cells.append(_cell("rest", *rest))
    return tuple(cells)


def _clause_texts(node: Wire | Statement, values: Sequence[Word]) -> list[str]:
    """The clauses, each as one text, behind these values."""
    texts = [" ".join(_clause_words(clause)) for clause in node.clauses]
    if texts and node.clauses[0].word.text in UNITS:  # `core` is a unit too
        texts[0] = texts[0].replace("core", _spelt([node.clauses[0].word], (None, *values)[-1])[0], 1)
    return texts


def wire_values(wire: Wire) -> list[Word]:
    """A wire's values in the order size, colour, length; their order on the line means nothing."""
    return sorted(wire.values, key=lambda word: (*_WIRE_COLUMNS, "").index(_wire_column(word)))


def _wire_column(word: Word) -> str:
    if word.kind != "QUANTITY":
        return "colour" if word.kind == "NAME" else ""
    return "size" if word.text.endswith(_SIZES) else "length"


def _is_list(node: Statement) -> bool:
    return node.rule in _LISTS or node.word.text in _LIST_WORDS.get(node.rule, ())


def _texts(node: Statement) -> list[str]:
    return _spelt(node.values, names=_is_list(node))


def _run_name(node: Statement) -> str:
    if node.rule == "colours_fact":
        return node.word.text
    if node.rule == "part" and node.word.text in _PARTS_WITH_ID:
        return "part by terminal"
    if node.rule == "state_sheets":
        return "facts"
    return "sheet" if node.rule.startswith("sheet_") else node.rule


def _cells(node: Statement, before: str) -> tuple[Cell, ...]:
    """The columns of a statement: its word, id and title, then its values by sort, then its clauses."""
    head = [before, node.prefix.text if node.prefix else "", node.word.text]
    found: list[tuple[str, list[str]]] = [("word", [word for word in head if word])]
    values = list(zip(node.values, _texts(node), strict=True))
    if values and (node.rule != "part" or node.word.text in _PARTS_WITH_ID):
        found.append(("id", [values.pop(0)[1]]))
        if values and values[0][0].kind == "STRING":
            found.append(("title", [values.pop(0)[1]]))
    column = ""
    for word, text in values:
        begins = _value_column(word, column, () if node.rule == "part" else _MARKS)
        if begins != column:
            column = begins
            found.append((column, []))
        found[-1][1].append(text)
    for clause, text in zip(node.clauses, _clause_texts(node, node.values), strict=True):
        column = clause.word.text if clause.word.text in _OWN_COLUMN else "clauses"
        if found[-1][0] != "clauses" or column != "clauses":
            found.append((column, []))
        found[-1][1].append(text)
    cells: list[Cell] = []
    for name, words in found:
        again = sum(cell.column.split("#")[0] == name for cell in cells)
        cells.append(Cell(f"{name}#{again}" if again else name, tuple(words)))
    return tuple(cells)


def _value_column(word: Word, current: str, marks: tuple[str, ...]) -> str:
    """The column of a value, given that of the value before it and the words that begin a column."""
    if word.kind == "WHEN":
        return "when"
    if current == "when":
        return current
    if word.kind == "STRING":
        return "text"
    if word.text in marks:
        return word.text
    if word.kind == "QUANTITY":
        return "rating"
    return current if current in ("rating", *marks) else "names"


def _on_one_line(body: Block, text: str) -> str:
    """The block as `{ a; b }` if its author wrote it so; empty if it has more than one line."""
    if not body.lines:
        return "{ }" if "#" not in text[body.start : body.end] else ""
    if "\n" in text[body.start : body.end]:
        return ""
    short = "{ " + "; ".join([_node_text(node, text) for node in body.lines]) + " }"
    return "" if "\n" in short else short


def _node_text(node: Node, text: str) -> str:
    """A node with all it holds on one line."""
    if isinstance(node, Wire):
        return " ".join(cell.text for cell in _wire_cells(node))
    if isinstance(node, Clause):
        return " ".join(_clause_words(node))
    if isinstance(node, When):
        head = " ".join(["when", *_condition_words(node.condition)])
        return f"{head} {_on_one_line(node.block, text)}"
    if node.rule == "prefixed" and node.block is not None:
        return f"{node.word.text} {_node_text(node.block.lines[0], text)}"
    if node.rule in _FACTS:
        return f"{node.word.text} " + ", ".join(" ".join(_clause_words(fact)) for fact in node.clauses)
    head = " ".join(cell.text for cell in _cells(node, ""))
    return f"{head} {_on_one_line(node.block, text)}" if node.block is not None else head
