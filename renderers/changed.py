"""Which pages of which sheets show what changed since an earlier issue."""

from __future__ import annotations

from collections.abc import Mapping

from compiler.changes.change import Change, Changes
from compiler.changes.matching import text
from renderers.context import PackContext
from renderers.sheets.figure import SheetFigure
from renderers.text import natural_key


def pages_of(context: PackContext, change: Change) -> tuple[str, ...]:
    """The pages of sheets that show a change, in order; the first page of a sheet whose drawing does not say.

    The tool's own sheets (distribution) show it where they draw what it is about.
    """
    if not change.sheets:
        return ()
    found: list[str] = []
    for number, pages in _pages(context).items():
        if number in change.sheets:
            found += [page for page in pages if _shows(context, page, change)] or pages[:1]
        elif number not in context.variant.sheets:
            found += [page for page in pages if _shows(context, page, change)]
    return tuple(sorted(found, key=natural_key))


def _pages(context: PackContext) -> Mapping[str, list[str]]:
    """Number of a sheet -> its pages."""
    found: dict[str, list[str]] = {}
    for page, figure in context.sheets.items():
        found.setdefault(number_of(figure), []).append(page)
    return found


def number_of(figure: SheetFigure) -> str:
    """The number of the sheet that a page belongs to, as the author wrote it."""
    return figure.number or figure.sheet


def _shows(context: PackContext, page: str, change: Change) -> bool:
    """Whether a page draws what a change is about: its wires, or else its circuits, or else its items."""
    if change.sort == "wire" and change.ids:
        return bool(set(change.ids) & context.wires_on(page))
    if change.circuits:
        return bool(set(change.circuits) & set(context.circuits_on(page)))
    return any(context.zone_on(page, item) for item in change.items)


def changed_pages(context: PackContext, changes: Changes) -> Mapping[str, tuple[Change, ...]]:
    """Page of a sheet that both issues have -> the changes that it shows; pages without any are not there."""
    found: dict[str, list[Change]] = {}
    for change in changes.changes:
        for page in pages_of(context, change):
            if number_of(context.sheets[page]) not in changes.new_sheets:
                found.setdefault(page, []).append(change)
    return {page: tuple(shown) for page, shown in found.items()}


def sheet_marks(context: PackContext) -> Mapping[str, str]:
    """Page -> `Changed since issue 2027-1`, `Not in S2`; empty without an older issue."""
    changes = context.changes
    if changes is None:
        return {}
    before = called(changes)
    new, changed = (
        (f"New since {before}", f"Changed since {before}")
        if changes.is_issue
        else (f"Not in {before}", f"Differs from {before}")
    )
    marks = dict.fromkeys(changed_pages(context, changes), changed)
    return marks | {page: new for page, f in context.sheets.items() if number_of(f) in changes.new_sheets}


def called(changes: Changes) -> str:
    """What is compared with, in a sentence: `issue 2027-1`; of another variant `S2`."""
    issue = text(changes.old, "issue")
    if not changes.is_issue:
        return text(changes.old, "id")
    return f"issue {issue}" if issue and issue != text(changes.new, "issue") else "the last issue"
