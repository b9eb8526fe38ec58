"""Declarations by name space, with `replace`, `extend` and `omit` applied. Nothing is interpreted yet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from compiler.assembly.flatten import Flattened, Line
from compiler.assembly.names import nearest
from compiler.model.variant import Duplicate, Unresolved
from grammar.finding import Finding, Severity
from grammar.source import Span
from grammar.tree import Clause, Statement, Wire, Word

# rule of the grammar -> name space
SPACES: Mapping[str, str] = {
    "option": "option",
    "zone": "zone",
    "harness": "harness",
    "structure": "structure",
    "colours": "colour table",
    "kind": "kind",
    "fuse_block": "item",
    "bus": "item",
    "splice": "item",
    "ground": "item",
    "connector": "item",
    "cable": "item",
    "device": "item",
    "twist": "twist",
    "circuit": "circuit",
    "sheet": "sheet",
    "state": "named state",
    "expect": "expectation",
    "complaint": "complaint",
    "trouble_code": "trouble code",
}
_NESTED = frozenset({"bus", "device", "connector"})
_OMIT_SPACES = {"expect": "expectation", "state": "named state"}


@dataclass(slots=True)
class Declared:
    """One declaration that counts: its statement, and the lines of its block and of its extensions.

    extensions  the `extend` statements that add to it
    """

    space: str
    id: str
    node: Statement
    tree_line: Line
    inside: str
    lines: list[Line] = field(default_factory=list)
    extensions: list[Span] = field(default_factory=list)

    @property
    def sort(self) -> str:
        """What it is called when two of them clash."""
        return self.node.rule.replace("_", " ") if self.node.rule != "device" else self.node.word.text

    def at(self) -> Span:
        """The id's place."""
        return self.tree_line.tree.span(id_word(self.node))


def id_word(node: Statement) -> Word:
    """The word that names a declaration: its first value (the second word of a device line)."""
    return node.values[0] if node.values else node.word


class Collected:
    """All declarations of a variant. Spaces keep the order of the source."""

    def __init__(self, flattened: Flattened) -> None:
        self.flattened = flattened
        self.spaces: dict[str, dict[str, Declared]] = {space: {} for space in dict.fromkeys(SPACES.values())}
        self.variants: list[Line] = []
        self.duplicates: list[Duplicate] = []
        self.unresolved: list[Unresolved] = []
        self.findings: list[Finding] = []
        self.omitted: dict[tuple[str, str], Span] = {}
        self._later: dict[str, list[tuple[Line, str]]] = {"replace": [], "extend": [], "omit": []}
        for line in flattened.lines:
            self._sort_out(line, "")
        self._apply_replacements()
        self._apply_extensions()
        self._apply_replacements()  # those that stand in the block of an extension
        self._apply_omissions()

    def space(self, name: str) -> dict[str, Declared]:
        return self.spaces[name]

    def wrong(self, line: Line, says: str, mend: str = "", at: Word | None = None) -> None:
        """A statement that reads well but stands wrong."""
        span = line.tree.span(at if at is not None else line.node)
        self.findings.append(Finding("syntax", Severity.ERROR, says, span, (), mend))

    # -- first pass ----------------------------------------------------------------------------------------------
    def _sort_out(self, line: Line, inside: str) -> None:
        node = line.node
        if isinstance(node, Clause):
            if not inside:
                if node.word.text == "allow":
                    self.wrong(
                        line,
                        "a waiver stands on the item it excuses",
                        "move it into the item's line or block",
                    )
                elif node.word.text != "note":
                    self.wrong(
                        line,
                        f"`{node.word.text}` belongs to an item",
                        "move it into the item's line or block",
                    )
            return
        if isinstance(node, Wire):
            self.wrong(line, "a wire stands in the block of its circuit", "write `circuit ID { ... }` around it")
            return
        if node.prefix is not None:
            self._later[node.prefix.text].append((line, inside))
        elif node.rule == "variant":
            self.variants.append(line)
        elif node.rule == "omit":
            self._later["omit"].append((line, inside))
        elif node.rule in SPACES:
            self._declare(line, inside)
        else:
            self.wrong(line, f"`{node.word.text}` cannot stand here")

    def _declare(self, line: Line, inside: str, replacing: bool = False) -> Declared:
        node = line.node
        assert isinstance(node, Statement)
        space = SPACES[node.rule]
        word = id_word(node)
        declared = Declared(space, word.value, node, line, inside)
        known = self.spaces[space]
        first = known.get(declared.id)
        if first is not None and not replacing:
            places = (first.at(), line.tree.span(word))
            dropped = line.tree.span(node)
            self.duplicates.append(Duplicate(declared.sort, declared.id, *places, first.sort, dropped))
            return first
        known[declared.id] = declared
        self._add_lines(declared, line)
        return declared

    def _add_lines(self, declared: Declared, line: Line) -> None:
        node = line.node
        if not isinstance(node, Statement) or node.block is None:
            return
        for inner in self.flattened.effective(node.block.lines, line.tree, line.fragment):
            inner_line = Line(inner, line.tree, line.fragment)
            if isinstance(inner, Statement) and (inner.rule in _NESTED or inner.prefix is not None):
                self._sort_out(inner_line, declared.id)
            else:
                declared.lines.append(inner_line)

    # -- second pass ---------------------------------------------------------------------------------------------
    def _target(self, line: Line, word: Word, space: str, verb: str) -> Declared | None:
        declared = self.spaces[space].get(word.value)
        if declared is None:
            near = nearest(word.value, self.spaces[space])
            self.unresolved.append(Unresolved(word.value, f"{space} to {verb}", line.tree.span(word), near))
        return declared

    def _apply_replacements(self) -> None:
        waiting, self._later["replace"] = self._later["replace"], []
        for line, inside in waiting:
            node = line.node
            if not isinstance(node, Statement) or node.rule not in SPACES:
                self.wrong(line, "`replace` stands before the statement that takes the old one's place")
                continue
            target = self._target(line, id_word(node), SPACES[node.rule], "replace")
            if target is None:
                continue
            self._remove_nested(target)
            self._declare(line, inside or target.inside, replacing=True)

    def _apply_extensions(self) -> None:
        for line, _ in self._later["extend"]:
            node = line.node
            if not isinstance(node, Statement) or node.rule not in SPACES:
                self.wrong(line, "`extend` stands before the statement whose block it adds to")
                continue
            target = self._target(line, id_word(node), SPACES[node.rule], "extend")
            if target is None:
                continue
            if node.rule != target.node.rule or (node.rule == "device" and node.word.text != target.node.word.text):
                mend = f"write `extend {target.node.word.text} {target.id}`"
                self.wrong(line, f"{target.id} is a {target.sort}, not a {node.word.text}", mend, node.word)
                continue
            if node.block is None:
                self.wrong(line, "`extend` without a block adds nothing", "give the lines to add in braces")
                continue
            for extra in (*node.values[1:2], *(clause.word for clause in node.clauses))[:1]:
                says = "`extend` adds lines; what stands before its brace is not taken over"
                self.wrong(line, says, "put it into the block, or use `replace`", extra)
            target.extensions.append(line.tree.span(node))
            self._add_lines(target, line)

    def _apply_omissions(self) -> None:
        for line, _ in self._later["omit"]:
            node = line.node
            assert isinstance(node, Statement)
            words = node.values
            space = "item"
            if words and words[0].kind not in ("NAME", "STRING"):
                space = _OMIT_SPACES.get(words[0].text, words[0].text)
                words = words[1:]
            for word in words:
                key = (space, word.value)
                if key in self.omitted:
                    continue  # said twice, meant once
                target = None if space == "wire" else self._target(line, word, space, "omit")
                if target is not None:
                    self._remove(target)
                if space == "wire" or target is not None:
                    self.omitted[key] = line.tree.span(word)

    def _remove(self, target: Declared) -> None:
        del self.spaces[target.space][target.id]
        if target.space == "item":
            self._remove_nested(target)

    def _remove_nested(self, target: Declared) -> None:
        for nested in [d for d in self.spaces["item"].values() if d.inside == target.id]:
            self._remove(nested)
