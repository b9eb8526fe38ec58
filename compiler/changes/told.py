"""Where statements are gathered: what every one of them needs is added here."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property

from compiler.changes.change import NAMES, PROTECTIVE, Action, Change, FactWords
from compiler.changes.excused import WAIVER
from compiler.changes.inventory import UNKNOWN, Record, Value
from compiler.changes.matching import Matched, text, texts
from compiler.changes.order import natural

# Facts that name other things by id, and the sort they name.
_REFERS = {
    "zone": "zone", "harness": "harness", "block": "block", "bus": "bus", "case": "structure", "structure": "structure",
    "device": "device", "harnesses": "harness", "pins": "harness", "circuits": "circuit", "see": "sheet",
    "sheets": "sheet", "wires": "wire",
}  # fmt: skip
_NOT_KNOWN = "not known"  # as printed
_WORDS = frozenset({"title", "notes", "where", "reason"})
_ID = re.compile(r"[\w-]+")
_ITEMS = frozenset({"bus", "device", "connector", "splice", "ground", "block", "cable"})


@dataclass(eq=False)
class Told:
    """The statements so far."""

    matched: Matched
    changes: list[Change] = field(default_factory=list)

    def add(
        self,
        change: Change,
        *,
        drawn: bool = True,
        circuits: Iterable[str] = (),
        items: Iterable[str] = (),
        sheets: Iterable[str] | None = None,
    ) -> None:
        """Add a statement about circuits and items (by new id, by old id for what is gone).

        drawn   whether the sheets that these stand on look different now
        sheets  these sheets, where they are known
        """
        told = tuple(sorted(set(circuits), key=natural))
        subjects = change.subjects if change.sort in _ITEMS else ()
        about = tuple(sorted({*items, *subjects}, key=natural))
        shown = set(change.sheets if sheets is None else sheets)
        if drawn and not shown and sheets is None:
            # A splice or ground that a wire joins or leaves looks different only where that wire is drawn.
            shown = self._sheets(told, () if told else (*about, *self._within(change)))
        if drawn and change.what == "sheet-renamed":
            shown.update(self._pointing(change.ids[0]))
        at = tuple(sorted(shown, key=natural))
        self.changes.append(replace(change, circuits=told, items=about, sheets=at, drawn=drawn))

    def _within(self, change: Change) -> tuple[str, ...]:
        side = self.matched.new if change.ids else self.matched.old
        return tuple(item for key in change.subjects for item in side.within(change.sort, key))

    def _pointing(self, sheet: str) -> set[str]:
        """The sheets that point to a sheet."""
        return {key for key, record in self.matched.new.of("sheet").items() if sheet in texts(record, "see")}

    def _sheets(self, circuits: tuple[str, ...], items: tuple[str, ...]) -> set[str]:
        back, matched = self._back, self.matched
        found = matched.new.sheets_of(circuits, items)
        before = matched.old.sheets_of(
            (back["circuit"].get(key, key) for key in circuits), (self._item_back.get(key, key) for key in items)
        )
        pairs = matched.pairs["sheet"]
        return found | {pairs[sheet] for sheet in before if sheet in pairs}

    @cached_property
    def _back(self) -> dict[str, dict[str, str]]:
        return {sort: {new: old for old, new in pairs.items()} for sort, pairs in self.matched.pairs.items()}

    def item_before(self, item: str) -> str:
        """The old id of a new item, or its new id where it is new."""
        return self._item_back.get(item, item)

    @cached_property
    def _item_back(self) -> dict[str, str]:
        return {new: old for sort in _ITEMS for new, old in self._back[sort].items()}

    def alike(self, fact: str, before: Value | None, record: Record) -> bool:
        """Whether a fact, of the old issue as `before` gives it, is the same in a record of the new one. Words that
        quote an id are the same when they quote the new one."""
        after = record.get(fact)
        if before == after or fact not in _WORDS:
            return before == after
        if isinstance(before, tuple):
            return tuple(map(self._quoting, before)) == after
        return isinstance(before, str) and self._quoting(before) == after

    def _quoting(self, words: str) -> str:
        return _ID.sub(lambda match: self._item_now.get(match[0], match[0]), words) if self._item_now else words

    @cached_property
    def _item_now(self) -> dict[str, str]:
        pairs = self.matched.pairs
        return {old: new for sort in _ITEMS for old, new in pairs[sort].items() if old != new}

    def before(self, fact: str, record: Record) -> Value | None:
        """A fact of an old record, with the things it names called as the new issue calls them."""
        value = record.get(fact)
        matched = self.matched
        match fact:
            case "components" | "set" | "seen":
                return tuple(self._reference_now(one) for one in texts(record, fact)) or None
            case "subject":
                if text(record, "about") == "circuit":
                    return matched.now("circuit", text(record, fact))
                return self._reference_now(text(record, fact))
            case "core":
                cable, dot, core = text(record, fact).rpartition(".")
                return f"{matched.now('cable', cable)}{dot}{core}" if value else None
            case "inside" | "terminals" | "spare":
                return tuple(" ".join(map(self._terminal_now, one.split(" "))) for one in texts(record, fact)) or None
        sort = _REFERS.get(fact)
        if sort is None or value is None:
            return value
        if isinstance(value, tuple):
            return tuple(matched.now(sort, one) for one in value)
        return matched.now(sort, str(value))

    def _terminal_now(self, word: str) -> str:
        """The terminal of a component with several plugs, `C201.7`, with the plug called as the new issue calls it."""
        plug, dot, cavity = word.rpartition(".")
        now = self.matched.pairs["connector"].get(plug)
        return f"{now}{dot}{cavity}" if now else word

    def _reference_now(self, words: str) -> str:
        """`S21.tell-tale lit` with the item called as the new issue calls it."""
        subject, blank, rest = words.partition(" ")
        item, terminal = self.matched.old.parted(subject)
        now = self.matched.item_now(item)
        return f"{now}{'.' if terminal else ''}{terminal}{blank}{rest}"


def stem(sort: str, *records: Record) -> str:
    """The first part of a statement's stable name."""
    if sort == "device":
        return "fuse" if all(text(record, "kind") in PROTECTIVE for record in records) else "component"
    return "fuse-block" if sort == "block" else sort


def name_of(sort: str, record: Record) -> str:
    """What a thing is called in a sentence: a component by its kind."""
    return text(record, "kind") if sort == "device" else NAMES.get(sort, sort)


def waiver_words(record: Record, other: Record) -> Iterator[tuple[FactWords, str, str]]:
    """The findings that are excused on one of two sides, or for another reason: in words, with the reason before and
    after."""
    for name in sorted({*record, *other}):
        if name.startswith(WAIVER) and record.get(name) != other.get(name):
            check = name.removeprefix(WAIVER)
            old, new = ("; ".join(f'"{said}"' for said in texts(side, name)) for side in (record, other))
            verb = f"excused from {check}"
            verb = f"{verb} for another reason" if old and new else f"now {verb}" if new else f"no longer {verb}"
            yield FactWords(f"excused from {check}", verb, drawn=False), old, new


def fact_change(
    sort: str, key: tuple[str, str], records: tuple[Record, Record], fact: str, words: FactWords, old: str, new: str
) -> Change:
    """The statement that a fact of a thing (old id, new id; old record, new record) is another now."""
    return Change(
        f"{stem(sort, *records)}-{fact}",
        "changed",
        sort,
        key[:1],
        key[1:],
        name_of(sort, records[1]),
        text(records[1], "title"),
        words.noun,
        words.verb,
        old,
        new,
    )


def stated(change: Change) -> Change:
    """A statement that a fact is another now; where one side does not give it, that it is given, or no longer, for
    nothing was done to the vehicle then."""
    missing = [said in ("", _NOT_KNOWN, UNKNOWN) for said in (change.old, change.new)]
    if not any(missing):
        return change
    if all(missing):
        return replace(change, verb=f"{change.noun} changed")
    known = "given" if "" in (change.old, change.new) else "known"
    if missing[0]:
        return replace(change, verb=f"{change.noun} now {known}", old="", partial=True)
    return replace(change, verb=f"{change.noun} no longer {known}", new="", partial=True)


def whole_change(sort: str, key: str, record: Record, action: Action, said: str) -> Change:
    """The statement that a thing was added or removed."""
    added = action == "added"
    return Change(
        f"{stem(sort, record)}-{action}",
        action,
        sort,
        () if added else (key,),
        (key,) if added else (),
        name_of(sort, record),
        text(record, "title"),
        old="" if added else said,
        new=said if added else "",
    )
