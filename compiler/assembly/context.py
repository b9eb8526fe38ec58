"""What all builders of items share: name look-ups that note what is missing, places, waivers, notes, quantities."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from compiler.assembly.collect import Collected, Declared
from compiler.assembly.flatten import Line
from compiler.assembly.names import nearest
from compiler.model.items import Place, Waiver
from compiler.model.variant import Unresolved
from compiler.standards.colours import ColourError, ColourTable, read_colour
from compiler.standards.sizes import Size, read_size
from compiler.units import read_quantity
from grammar.finding import Finding, Severity
from grammar.source import Span
from grammar.tree import Clause, Statement, SyntaxTree, Wire, Word

MAX_GUESSES = 100


class ColourProblem(NamedTuple):
    """A colour that could not be read: reason (see standards.colours), words for a mend, sentence, place."""

    reason: str
    suggestion: str
    says: str
    at: Span


class Common(NamedTuple):
    """What any item carries: the fields of `Named` in order, and the place."""

    id: str
    title: str
    at: Span
    span: Span
    notes: tuple[str, ...]
    fragment: str
    place: Place | None

    @property
    def named(self) -> tuple[str, str, Span, Span, tuple[str, ...], str]:
        return self[:6]


class Context:
    """Shared state of one assembly."""

    def __init__(self, collected: Collected, colours: ColourTable) -> None:
        self.collected = collected
        self.colours = colours
        self.waivers: list[Waiver] = []
        self.findings: list[Finding] = collected.findings
        self.unresolved: list[Unresolved] = collected.unresolved
        self.colour_problems: list[ColourProblem] = []
        self._colours: dict[str, str | ColourError] = {}
        self._near: dict[tuple[str, str], str] = {}

    # -- findings ------------------------------------------------------------------------------------------------
    def wrong(self, at: Span, says: str, mend: str = "") -> None:
        """A statement that reads well but says something that cannot be."""
        self.findings.append(Finding("syntax", Severity.ERROR, says, at, (), mend))

    def missing(self, name: str, sort: str, at: Span, known: Iterable[str], says: str = "") -> None:
        """A name that stands for nothing."""
        near = self._near.get((name, sort))
        if near is None:
            # A guess costs milliseconds among thousands of names; after so many faults it helps nobody.
            near = nearest(name, known) if len(self._near) < MAX_GUESSES else ""
            self._near[name, sort] = near
        self.unresolved.append(Unresolved(name, sort, at, near, says))

    def known(self, word: Word, tree: SyntaxTree, known: Mapping[str, object], sort: str) -> str:
        """The name a word gives, noted as unresolved if it is not in `known`."""
        name = word.value
        if name not in known:
            self.missing(name, sort, tree.span(word), known)
        return name

    # -- values --------------------------------------------------------------------------------------------------
    def size(self, word: Word, tree: SyntaxTree) -> Size | None:
        """A conductor size; a finding and None for one that its system does not have."""
        quantity = read_quantity(word.text)
        try:
            return read_size(quantity.number, quantity.unit)
        except ValueError as error:
            self.wrong(tree.span(word), str(error))
            return None

    def colour(self, word: Word, tree: SyntaxTree) -> str | None:
        """A wire colour's canonical code, or None with a colour problem noted."""
        text = word.text
        found = self._colours.get(text)
        if found is None:
            try:
                found = read_colour(text, self.colours).code
            except ColourError as error:
                found = error
            self._colours[text] = found
        if isinstance(found, ColourError):
            self.colour_problems.append(
                ColourProblem(found.reason, found.suggestion or "", str(found), tree.span(word))
            )
            return None
        return found

    def place(self, clauses: Iterable[tuple[Clause, SyntaxTree]]) -> Place | None:
        """The place said by `at` and `access` clauses; the first `at` counts."""
        zones = self.collected.space("zone")
        at: tuple[Clause, SyntaxTree] | None = None
        access: float | None = None
        for clause, tree in clauses:
            if clause.word.text == "at":
                if at is not None:
                    self.wrong(tree.span(clause), "the place is given twice", "keep one `at`")
                    continue
                at = (clause, tree)
            elif clause.word.text == "access":
                quantity = read_quantity(clause.values[0].text)
                if quantity.dimension != "time":
                    self.wrong(
                        tree.span(clause.values[0]),
                        f"`access` takes minutes, not {quantity}",
                        "write `access 5 min`",
                    )
                else:
                    access = quantity.value
        if at is None:
            return Place("", None, "", access, None) if access is not None else None
        clause, tree = at
        point: tuple[float, float] | None = None
        words = ""
        for value in clause.values[1:]:
            if value.kind == "POINT":
                x, y = value.text.strip("()").split(",")
                point = (float(x), float(y))
            else:
                words = value.value
        return Place(self.known(clause.values[0], tree, zones, "zone"), point, words, access, tree.span(clause))

    # -- what any item carries -----------------------------------------------------------------------------------
    def common(self, declared: Declared) -> Common:
        """Id, title, places, notes, waivers and location of a declaration."""
        node, (_, tree, fragment) = declared.node, declared.tree_line
        clauses = [(clause, tree) for clause in node.clauses]
        clauses += [(line.node, line.tree) for line in declared.lines if isinstance(line.node, Clause)]
        span = tree.span(node)
        title = next((word.value for word in node.values[1:2] if word.kind == "STRING"), "")
        return Common(
            declared.id,
            title,
            declared.at(),
            span,
            self.notes_and_waivers(clauses, span, declared.extensions),
            fragment,
            self.place(clauses),
        )

    def notes_and_waivers(
        self, clauses: Iterable[tuple[Clause, SyntaxTree]], span: Span, extensions: Iterable[Span] = ()
    ) -> tuple[str, ...]:
        """The texts of `note` clauses; `allow` clauses are kept as waivers that cover `span`, or the extension they
        stand in and `span` as well."""
        notes: list[str] = []
        for clause, tree in clauses:
            keyword = clause.word.text
            if keyword == "note":
                notes.append(clause.values[0].value)
            elif keyword == "allow":
                check, reason = clause.values
                at = tree.span(clause)
                around = next((e for e in extensions if _within(at, e)), None)
                covers, also = (span, ()) if around is None else (around, (span,))
                self.waivers.append(Waiver(check.text, reason.value, at, covers, also))
        return tuple(notes)


def _within(inner: Span, outer: Span) -> bool:
    return inner.source is outer.source and outer.start <= inner.start < outer.end


def clause_value(node: Statement | Wire, keyword: str) -> Word | None:
    """The first value of a clause of a statement or wire, or None."""
    for clause in node.clauses:
        if clause.word.text == keyword:
            return clause.values[0]
    return None


def block_statements(declared: Declared) -> list[tuple[Statement, Line]]:
    """The statements of a declaration's block and extensions, with their lines."""
    return [(line.node, line) for line in declared.lines if isinstance(line.node, Statement)]
