"""Which pages of which sheets show what changed since an earlier issue."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from compiler.changes.change import Change, Changes
from compiler.changes.matching import text
from compiler.changes.words import outcome
from renderers.context import PackContext
from renderers.sheets.figure import SheetFigure
from renderers.text import natural_key

_IDS = 4  # of alike things named at the head of a page


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
    if change.sort == "colour":
        wires = (context.variant.wire_by_id[wire] for wire in context.wires_on(page))
        return any(code in (wire.colour or "").split("/") for wire in wires for code in change.ids)
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


class News(NamedTuple):
    """What the head of a sheet's page says of changes: `Changed since issue 2027-1`, and each change that it shows."""

    mark: str
    said: tuple[str, ...] = ()

    def words(self, room: int) -> str:
        """What follows the mark, in about so many characters with it: `: wires 48B, 48C recoloured; and 2 more`."""
        words = self.mark
        for place, one in enumerate(self.said):
            left = len(self.said) - place
            longer = f"{words}{'; ' if place else ': '}{one}"
            # The first is told at any rate, and the last where it is no longer than to say that there is one more.
            if place and len(longer) > room - (len(f"; and {left - 1} more") if left > 1 else 0):
                longer = f"{words}; and {left} more"
                return longer.removeprefix(self.mark)
            words = longer
        return words.removeprefix(self.mark)


def sheet_news(context: PackContext) -> Mapping[str, News]:
    """Page of a sheet that is new or changed -> its news; empty without an older issue."""
    changes = context.changes
    if changes is None:
        return {}
    shown = changed_pages(context, changes)
    return {
        page: News(mark, tuple(dict.fromkeys(_said(context, page, one, changes) for one in shown.get(page, ()))))
        for page, mark in sheet_marks(context).items()
    }


def _said(context: PackContext, page: str, change: Change, changes: Changes) -> str:
    """A change as the head of a page tells it, without values: `wires 48B, 48C recoloured`."""
    ids = list(change.subjects)
    if change.sort == "wire":
        ids = [one for one in ids if one in context.wires_on(page)] or ids
    more = f" and {len(ids) - _IDS} more" if len(ids) > _IDS + 1 else ""
    named = ", ".join(ids[:_IDS] if more else ids) + more
    value = f" {change.new or change.old}" if change.partial else ""
    told = f"{outcome(change, changes)}{value}"
    if change.sort in ("sheet", "variant"):
        return told
    return f"{change.name}{'s' if len(ids) > 1 else ''} {named}{' ' if changes.is_issue else ', '}{told}"


def called(changes: Changes) -> str:
    """What is compared with, in a sentence: `issue 2027-1`; of another variant `S2`."""
    issue = text(changes.old, "issue")
    if not changes.is_issue:
        return text(changes.old, "id")
    return f"issue {issue}" if issue and issue != text(changes.new, "issue") else "the last issue"
