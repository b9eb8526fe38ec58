"""What the sheets of a pack look like, so that a page that differs from the last issue's can be told from one that does
not. The facts of a variant say why a page differs; whether it does, its drawing alone can say.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple


class Look(NamedTuple):
    """Digests of a page: of all that it shows, and of the words that lead to other sheets. What stands on every page
    (vehicle, issue) and the number of the page are not in them."""

    shown: str
    names: str


@dataclass(frozen=True, slots=True)
class Drawn:
    """The pages of a pack.

    by     name of the code that drew them; what other code draws may differ though the vehicle does not
    pages  page of a sheet (`38`, `38 (2)`) -> its look
    lit    state -> page -> its look in that state
    """

    by: str
    pages: Mapping[str, Look]
    lit: Mapping[str, Mapping[str, Look]]


class Seen(NamedTuple):
    """How a page compares with the last issue's.

    how    `same`; `new`: its sheet was not there; `differs`; `unsure`: other code drew it, and it looks otherwise
    was    the page that looked as this one looks now, under the number that its sheet has now
    more   its sheet has another number of pages now, or no such page before
    names  other words lead to other sheets
    """

    how: Literal["same", "new", "differs", "unsure"]
    was: str = ""
    more: bool = False
    names: bool = False


SAME = Seen("same")


@dataclass(frozen=True, slots=True)
class Sighted:
    """The pages of an issue beside those of the last. `lit` by state and page, `gone` are pages that are no more, of
    sheets that are still there."""

    pages: Mapping[str, Seen]
    lit: Mapping[tuple[str, str], Seen]
    gone: tuple[str, ...]

    def sheets(self, how: str) -> set[str]:
        """The sheets that have a page which compares so, by number."""
        return {sheet_of(page) for page, seen in self.pages.items() if seen.how == how}


def sheet_of(page: str) -> str:
    """The number of the sheet that a page belongs to."""
    return page.partition(" (")[0]


def sighted(old: Drawn, new: Drawn, sheets: Mapping[str, str], states: Mapping[str, str]) -> Sighted:
    """Two issues compared page by page. `sheets` and `states`: the old number or name -> the new one."""
    lit: dict[tuple[str, str], Seen] = {}
    back = {now: before for before, now in states.items()}
    for state, pages in new.lit.items():
        before = old.lit.get(back.get(state, ""), {})
        lit |= {(state, page): seen for page, seen in _compared(before, pages, sheets, old.by == new.by)}
    named = {sheets.get(sheet_of(page), sheet_of(page)) + page.removeprefix(sheet_of(page)) for page in old.pages}
    still = {sheet_of(page) for page in new.pages}
    gone = tuple(sorted(page for page in named if page not in new.pages and sheet_of(page) in still))
    return Sighted(dict(_compared(old.pages, new.pages, sheets, old.by == new.by)), lit, gone)


def _compared(
    old: Mapping[str, Look], new: Mapping[str, Look], sheets: Mapping[str, str], same_code: bool
) -> Iterator[tuple[str, Seen]]:
    before: dict[str, dict[str, Look]] = defaultdict(dict)  # by the numbers that sheets have now
    for page, look in old.items():
        sheet = sheet_of(page)
        before[sheets.get(sheet, sheet)][page.removeprefix(sheet)] = look
    many: dict[str, int] = defaultdict(int)
    for page in new:
        many[sheet_of(page)] += 1
    renamed = {now for was, now in sheets.items() if was != now}
    for page, look in new.items():
        sheet = sheet_of(page)
        own, place = before[sheet], page.removeprefix(sheet)
        if not own:
            yield page, Seen("new")
            continue
        was = own.get(place)
        more = was is None or len(own) != many[sheet]
        if was is not None and was.shown == look.shown:
            yield page, Seen("differs", page, more) if more or sheet in renamed else SAME
            continue
        alike = [name for name, one in own.items() if one.shown == look.shown]
        if len(alike) == 1:
            yield page, Seen("differs", f"{sheet}{alike[0]}", more)
        else:
            how: Literal["differs", "unsure"] = "differs" if same_code or more else "unsure"
            yield page, Seen(how, "", more, was is not None and was.names != look.names)
