"""A sheet that points nowhere, lists a circuit twice, or shows nothing; a state that asks for such a sheet."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.assembly.names import nearest
from compiler.checks.base import Check, Subject
from compiler.model.items import NamedState, Sheet
from compiler.model.variant import Variant
from grammar.finding import Finding, Note, Severity
from grammar.source import Span
from grammar.tree import Word

Listed = tuple[tuple[Word, Span], ...]


class SheetReference(Check):
    """Page: pages/sheet-reference.md."""

    name = "sheet-reference"
    severity = Severity.ERROR
    family = "locations, sheets and index"
    needs_all = True

    def run(self, subject: Subject) -> Iterator[Finding]:
        for sheet in subject.variant.sheets.values():
            yield from self._see(subject.variant, sheet)
            for sort, listed in (("circuit", sheet.circuits), ("component", sheet.components), ("sheet", sheet.see)):
                yield from self._twice(f"sheet {sheet.id}", sort, listed)
            if not sheet.circuits and not sheet.components:
                yield self.finding(
                    sheet.at,
                    f"sheet {sheet.id} shows nothing",
                    mend="list its circuits (`circuits 47 48`), or take it out",
                    severity=Severity.WARNING,
                )
        for state in subject.variant.states.values():
            yield from self._published(subject.variant, state)

    def _published(self, variant: Variant, state: NamedState) -> Iterator[Finding]:
        name = f"state `{state.id}`"
        for word, at in state.sheets:
            if word.text not in variant.sheets:
                near = nearest(word.text, variant.sheets)
                mend = f"did you mean {near}?" if near else "name a sheet of this variant, or take the number out"
                yield self.finding(at, f"{name} asks for sheet {word.text}, which does not exist", mend=mend)
        yield from self._twice(name, "sheet", state.sheets)

    def _see(self, variant: Variant, sheet: Sheet) -> Iterator[Finding]:
        for word, at in sheet.see:
            if word.text == sheet.id:
                mend = "take the number out"
                yield self.finding(at, f"sheet {sheet.id} refers to itself", mend=mend, severity=Severity.WARNING)
            elif word.text not in variant.sheets:
                near = nearest(word.text, variant.sheets)
                mend = f"did you mean {near}?" if near else "name a sheet of this variant, or take the number out"
                notes = (Note(sheet.at, f"sheet {sheet.id} begins here"),)
                says = f"sheet {sheet.id} refers to sheet {word.text}, which does not exist"
                yield self.finding(at, says, notes=notes, mend=mend)

    def _twice(self, lists: str, sort: str, listed: Listed) -> Iterator[Finding]:
        first: dict[str, Span] = {}
        for word, at in listed:
            if first.setdefault(word.text, at) is not at:
                yield self.finding(
                    at,
                    f"{lists} lists {sort} {word.text} twice",
                    notes=(Note(first[word.text], "listed here first"),),
                    mend="take one of the two out",
                    severity=Severity.WARNING,
                )
