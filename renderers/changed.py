"""Which pages of which sheets differ from an earlier issue's, and which changes they show."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cached_property
from typing import NamedTuple

from compiler.changes.change import Change, Changes
from compiler.changes.drawn import Seen
from compiler.changes.matching import text
from compiler.changes.words import outcome
from renderers.context import PackContext
from renderers.looks import names_on, words_on
from renderers.sheets.figure import SheetFigure
from renderers.text import anchor, natural_key

_IDS = 4  # of alike things named at the head of a page
_LEAST = 6  # letters of a title that was cut short, by which it is known
_ID = re.compile(r"[\w-]+")
# What changes readings, though no drawing of a sheet at rest shows it.
_READ = frozenset({"wire-length", "component-rating", "fuse-rating", "component-inside", "variant-supply"})


class News(NamedTuple):
    """What is told of a page of a sheet: `Changed since issue 2027-1`, what is said of each change that it shows, and
    these changes."""

    mark: str
    said: tuple[str, ...] = ()
    changes: tuple[Change, ...] = ()
    new: bool = False

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


class Marks(NamedTuple):
    """The news of pages of sheets, by page, and of those in a state, by state and page."""

    pages: Mapping[str, News]
    lit: Mapping[tuple[str, str], News]

    def shown_at(self) -> Mapping[int, list[tuple[str, str]]]:
        """By the identity of a change, the pages that show it, each with its anchor; of a state those in this state."""
        found: dict[int, list[tuple[str, str]]] = {}
        for page, news in self.pages.items():
            for change in news.changes:
                found.setdefault(id(change), []).append((page, anchor("sheet", page)))
        for (state, page), news in self.lit.items():
            for change in news.changes:
                if change.sort == "state":
                    found.setdefault(id(change), []).append((page, anchor("state", f"{state} {page}")))
        return {change: sorted(pages, key=lambda page: natural_key(page[0])) for change, pages in found.items()}


def marks_of(context: PackContext) -> Marks:
    """What is told of changes at the pages of sheets.

    Whether a page differs, the drawings say where both issues kept what they look like; the facts say why. Without
    that, a page differs if it shows a fact that does.
    """
    changes = context.changes
    if changes is None:
        return Marks({}, {})
    marker = _Marker(context, changes)
    pages = {page: news for page in context.sheets if (news := marker.page(page)) is not None}
    lit: dict[tuple[str, str], News] = {}
    for one in context.lit:
        for figure in one.figures:
            if news := marker.lit(one.state.id, figure.sheet, pages.get(figure.sheet)):
                lit[one.state.id, figure.sheet] = news
    return Marks(pages, lit)


class _Marker:
    """Finds the news of pages."""

    def __init__(self, context: PackContext, changes: Changes) -> None:
        self.context = context
        self.changes = changes
        self.drawn = [change for change in changes.changes if change.drawn]
        self.words: dict[str, _Words] = {}
        before = called(changes)
        self.new, self.changed = (
            (f"New since {before}", f"Changed since {before}")
            if changes.is_issue
            else (f"Not in {before}", f"Differs from {before}")
        )

    def page(self, page: str) -> News | None:
        """The news of a page; None for one that is as it was."""
        seen = self.changes.seen.pages.get(page) if self.changes.seen else None
        if seen and seen.how == "same":
            return None
        number = self.context.sheets[page].own_sheet
        sure = seen is not None and seen.how != "unsure"
        shown = tuple(change for change in self.drawn if self._shows(page, change, sure))
        if number in self.changes.new_sheets or (seen and seen.how == "new"):
            return News(self.new, (), shown, new=True)
        if seen and seen.was:
            shown = tuple(change for change in shown if change.what == "sheet-renamed")
        said = [self._said(page, change) for change in shown]
        if seen and seen.how == "differs":
            said += self._besides(page, seen, told=bool(said))
        return News(self.changed, tuple(dict.fromkeys(said)), shown) if said else None

    def lit(self, state: str, page: str, rest: News | None) -> News | None:
        """The news of a page in a state, `rest` that of the same page at rest; None for one that is as it was."""
        told = [change for change in self.changes.changes if change.sort == "state" and state in change.ids]
        seen = self.changes.seen.lit.get((state, page)) if self.changes.seen else None
        if seen and seen.how == "same":
            return None
        own = [change for change in told if change.what in ("state-renamed", "state-set")]
        if (seen and seen.how == "new") or (rest and rest.new) or any(change.action == "added" for change in told):
            return News(self.new, new=True)
        shown = [*own, *(rest.changes if rest else ())]
        said = [self._said(page, change) for change in own] + list(rest.said if rest else ())
        if seen and seen.how == "differs":
            if not seen.was:
                # What a state shows besides: its settings, readings, and what works.
                facts = self.context.variant.states[state].set
                names = {fact.subject.partition(".")[0] for fact in facts}
                read = [one for one in self.drawn if one.action == "renamed" and names.intersection(one.ids)]
                read += [one for one in self.changes.changes if one.what in _READ and self._stands(page, one)]
                shown += [one for one in read if one not in shown]
                said += [self._said(page, one) for one in read]
            said = said or self._besides(page, seen, told=False, lit=True)
        return News(self.changed, tuple(dict.fromkeys(said)), tuple(shown)) if said else None

    # -- what a page shows -----------------------------------------------------------------------------------------
    def _shows(self, page: str, change: Change, sure: bool) -> bool:
        """Whether a page shows a change; `sure` where it is known that the page differs."""
        context = self.context
        number = context.sheets[page].own_sheet
        # Of what is gone nothing is drawn: on a page known to differ it may have been.
        gone = number in change.sheets and (sure or page == number)
        if change.sort == "sheet":
            return self._shows_of_sheet(page, number, change, gone)
        if not change.ids:
            return bool(set(change.circuits) & set(context.circuits_on(page))) or gone
        if change.sort == "wire":
            return self._stands(page, change)
        if change.sort == "colour":
            wires = (context.variant.wire_by_id[wire] for wire in context.wires_on(page))
            return any(code in (wire.colour or "").split("/") for wire in wires for code in change.ids)
        if change.sort == "zone":
            return self._words(page).reads(change.new.strip('"') or change.ids[0])
        if change.sort == "harness":
            return self._words(page).reads(f"{change.ids[0]} side")
        if change.sort in ("circuit", "cable", "twist"):
            return bool(set(change.circuits) & set(context.circuits_on(page)))
        return self._shows_of_item(page, change)

    def _shows_of_sheet(self, page: str, number: str, change: Change, gone: bool) -> bool:
        if change.action == "renamed":
            return number in change.ids or change.ids[0] in self._words(page).names
        if number not in change.ids:
            return False
        if change.what in ("sheet-circuits", "sheet-components"):
            found = (*self.context.circuits_on(page), *self.context.sheets[page].places)
            return gone if change.old else bool(set(change.new.split(" ")) & set(found))
        return change.action == "changed"

    def _shows_of_item(self, page: str, change: Change) -> bool:
        context, words = self.context, self._words(page)
        if change.action == "renamed" and change.ids[0] in words.ids:
            return True  # at an arrow, or in a place: `above FB1`
        if not self._stands(page, change):
            return False
        if change.what.endswith("-title"):
            return words.reads(change.new.strip('"'))
        if change.what.endswith("-place"):
            item = context.variant.items.get(change.ids[0])
            return not change.new or item is None or words.reads(context.variant.place_of(item))
        there = [circuit for circuit in change.circuits if circuit in context.variant.circuits]
        return not there or bool(set(there) & set(context.circuits_on(page)))

    def _stands(self, page: str, change: Change) -> bool:
        """Whether a page draws what a change is about; everything is about the vehicle itself."""
        if change.sort == "wire":
            return bool(set(change.ids) & self.context.wires_on(page))
        return change.sort == "variant" or any(self.context.zone_on(page, item) for item in change.items)

    def _words(self, page: str) -> _Words:
        found = self.words.get(page)
        if found is None:
            found = self.words[page] = _Words(self.context.sheets[page])
        return found

    # -- in words --------------------------------------------------------------------------------------------------
    def _besides(self, page: str, seen: Seen, *, told: bool, lit: bool = False) -> list[str]:
        """What is said of a page that differs besides the facts that it shows."""
        issue, said = self.changes.is_issue, []
        if seen.was and seen.was != page:
            said.append(f"was page {seen.was}" if issue else f"there page {seen.was}")
        if seen.more:
            counted = self.context.sheets[page].titles.page or "the only page"
            said.append(f"now {counted}" if issue else counted)
        if told or said:
            return said
        if lit:
            return ["other readings"]
        if seen.names:
            return [f"references to other sheets{' changed' if issue else ''}"]
        return ["drawn anew" if issue else "drawn otherwise"]

    def _said(self, page: str, change: Change) -> str:
        """A change as the head of a page tells it, without values: `wires 48B, 48C recoloured`."""
        ids = list(change.subjects)
        if change.sort == "wire":
            ids = [one for one in ids if one in self.context.wires_on(page)] or ids
        name, named = f"{change.name}{'s' if len(ids) > 1 else ''}", _few(ids)
        if change.action == "renamed":
            before = _few([old for old, new in zip(change.old_ids, change.ids, strict=True) if new in ids])
            return f"{name} {before} now called {named}" if self.changes.is_issue else f"{name} {named}, there {before}"
        value = f" {change.new or change.old}" if change.partial else ""
        told = f"{outcome(change, self.changes)}{value}"
        own = change.sort == "sheet" and self.context.sheets[page].own_sheet in ids
        if own or change.sort in ("variant", "state"):
            return told
        return f"{name} {named}{' ' if self.changes.is_issue else ', '}{told}"


class _Words:
    """The words of a page."""

    def __init__(self, figure: SheetFigure) -> None:
        self._figure = figure

    @cached_property
    def _squeezed(self) -> str:
        return _squeezed(words_on(self._figure))

    @cached_property
    def ids(self) -> frozenset[str]:
        """What may be an id."""
        return frozenset(_ID.findall(words_on(self._figure)))

    @cached_property
    def names(self) -> frozenset[str]:
        """What may be the number of another sheet."""
        return frozenset(_ID.findall(" ".join(names_on(self._figure))))

    def reads(self, said: str) -> bool:
        """Whether words stand on the page, on however many lines, or cut short."""
        short = _squeezed(said)
        if short in self._squeezed:
            return True
        return any(f"{short[:end]}…" in self._squeezed for end in range(_LEAST, len(short)))


def _few(ids: list[str]) -> str:
    """Ids, the first of them where they are many."""
    most = _IDS if len(ids) > _IDS + 1 else len(ids)
    return ", ".join(ids[:most]) + (f" and {len(ids) - most} more" if len(ids) > most else "")


def _squeezed(words: str) -> str:
    return "".join(words.split())


def called(changes: Changes) -> str:
    """What is compared with, in a sentence: `issue 2027-1`; of another variant `S2`."""
    issue = text(changes.old, "issue")
    if not changes.is_issue:
        return text(changes.old, "id")
    return f"issue {issue}" if issue and issue != text(changes.new, "issue") else "the last issue"
