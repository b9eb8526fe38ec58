"""Fragments and options: from a variant's file to one list of statements that count for it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from compiler.assembly.library import Library
from compiler.model.variant import ConditionUse
from grammar.finding import Finding, Note, Severity
from grammar.limits import FINDINGS
from grammar.parser import Parsed
from grammar.source import Span
from grammar.tree import Clause, Condition, Node, Statement, SyntaxTree, When, Wire

MAX_FRAGMENTS = 2000
MAX_DEPTH = 40


class Line(NamedTuple):
    """A statement that counts, the tree it stands in, and the fragment's name (empty for the variant's own file)."""

    node: Statement | Wire | Clause
    tree: SyntaxTree
    fragment: str


class Flattened:
    """Walks the variant's file and its fragments, applying `when` by the options of the variant."""

    def __init__(self, library: Library, options: frozenset[str]) -> None:
        self.library = library
        self.options = options
        self.findings: list[Finding] = []
        self.conditions: list[ConditionUse] = []
        self.trees: dict[Path, SyntaxTree] = {}
        self.lines: list[Line] = []
        self.complete = True  # False once a fragment could not be read: much may be missing

    def add_file(
        self, path: Path, tree: SyntaxTree, fragment: str = "", trail: tuple[tuple[Path, Span], ...] = ()
    ) -> None:
        """Add a file's statements; `trail` is how it was reached."""
        self.trees[path] = tree
        for node in self.effective(tree.lines, tree, fragment):
            if isinstance(node, Statement) and node.rule == "use" and node.prefix is None:
                self._use(path, node, tree, trail)
            else:
                self.lines.append(Line(node, tree, fragment))

    def note_reading(self, parsed: Parsed) -> None:
        """Keep what was wrong with a file's text."""
        self.findings.extend(parsed.findings)
        if len(parsed.findings) > FINDINGS or (parsed.findings and not parsed.tree.source.text):
            self.complete = False  # reading was broken off, or nothing of the file could be read at all

    def effective(
        self, nodes: tuple[Node, ...], tree: SyntaxTree, fragment: str, around: tuple[Condition, ...] = ()
    ) -> Iterator[Statement | Wire | Clause]:
        """The nodes that count, with `when` blocks opened or left out; `around` are the conditions they stand in."""
        for node in nodes:
            if isinstance(node, When):
                held = holds(node.condition, self.options)
                names = tuple(dict.fromkeys(_names(node.condition)))
                possible = _can_hold((*around, node.condition))
                at, block = tree.span(node.condition), tree.span(node.block)
                self.conditions.append(ConditionUse(names, held, possible, at, fragment, block))
                if held:
                    yield from self.effective(node.block.lines, tree, fragment, (*around, node.condition))
            else:
                yield node

    def _use(self, user: Path, node: Statement, tree: SyntaxTree, trail: tuple[tuple[Path, Span], ...]) -> None:
        word = node.values[0]
        at = tree.span(word)
        root = self.library.project.root
        written = word.value
        try:
            path = (user.parent / written).resolve()
        except (OSError, RuntimeError, ValueError):  # a link that leads to itself; a character no path can hold
            self._refuse("fragment-missing", f"fragment {written} cannot be read: no such path", at, "check its path")
            return
        if Path(written).is_absolute() or not path.is_relative_to(root):
            self._refuse(
                "outside-project",
                f"{written} lies outside the project folder",
                at,
                "keep fragments in the project",
            )
            return
        if path == user or any(path == step for step, _ in trail):
            steps = [*trail, (user, at)]
            first = next((i for i, (step, _) in enumerate(steps) if step == path), len(steps) - 1)
            notes = tuple(Note(span, "used from here") for _, span in steps[first:-1])
            self._refuse(
                "fragment-loop",
                f"fragment {written} uses itself",
                at,
                "take one of the `use` lines out",
                notes,
            )
            return
        if path in self.trees:
            return  # a fragment counts once, however often it is used
        if len(trail) >= MAX_DEPTH or len(self.trees) >= MAX_FRAGMENTS:
            self._refuse(
                "limit",
                f"more than {MAX_DEPTH} fragments deep or {MAX_FRAGMENTS} in all",
                at,
                "use fewer, larger fragments",
            )
            return
        try:
            if path.is_dir():
                raise IsADirectoryError(0, "it is a folder")
            parsed = self.library.read(path)
        except OSError as error:
            reason = error.strerror or "it cannot be opened"
            self._refuse(
                "fragment-missing",
                f"fragment {written} cannot be read: {reason.lower()}",
                at,
                self._near(path, user),
            )
            return
        self.note_reading(parsed)
        self.add_file(path, parsed.tree, self.library.project.shown(path), (*trail, (user, at)))

    def _near(self, path: Path, user: Path) -> str:
        from compiler.assembly.names import nearest

        names = [p.name for p in path.parent.glob("*.loom")] if path.parent.is_dir() else []
        near = nearest(path.name, names)
        return f"did you mean {near}?" if near else f"the path is taken from the folder of {user.name}"

    def _refuse(self, check: str, says: str, at: Span, mend: str, notes: tuple[Note, ...] = ()) -> None:
        self.complete = self.complete and check == "fragment-loop"
        self.findings.append(Finding(check, Severity.ERROR, says, at, notes, mend))


def holds(condition: Condition, options: frozenset[str]) -> bool:
    """Whether a condition is true of a set of options."""
    if condition.op == "is":
        return condition.word is not None and condition.word.text in options
    if condition.op == "not":
        return condition.word is not None and condition.word.text not in options
    terms = (holds(term, options) for term in condition.terms)
    return all(terms) if condition.op == "and" else any(terms)


def _names(condition: Condition) -> Iterator[str]:
    if condition.word is not None:
        yield condition.word.text
    for term in condition.terms:
        yield from _names(term)


def _can_hold(conditions: tuple[Condition, ...]) -> bool:
    """Whether any choice of the options named makes all conditions true; True if there are too many to try."""
    if len(conditions) == 1 and conditions[0].op in ("is", "not"):
        return True
    names = tuple(dict.fromkeys(name for condition in conditions for name in _names(condition)))
    if len(names) > 10:
        return True
    choices = (
        frozenset(name for bit, name in enumerate(names) if choice >> bit & 1) for choice in range(1 << len(names))
    )
    return any(all(holds(condition, choice) for condition in conditions) for choice in choices)
