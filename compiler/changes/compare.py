"""Two inventories compared: what a reader of the old issue must know of the new one."""

from __future__ import annotations

from dataclasses import replace

from compiler.changes.change import FACTS, GROUPS, Change, Changes
from compiler.changes.circuits import tell_circuits
from compiler.changes.drawn import sighted
from compiler.changes.excused import WAIVER
from compiler.changes.inventory import SORTS, Inventory, Record
from compiler.changes.matching import Matched, match, text, texts
from compiler.changes.order import natural
from compiler.changes.printed import printed
from compiler.changes.things import tell_things
from compiler.changes.told import Told, fact_change, stated, waiver_words
from compiler.changes.wires import tell_wires


def compare(old: Inventory, new: Inventory) -> Changes:
    """What changed from one inventory to the other. The order of statements depends on nothing but the two."""
    if old.early or new.early:
        old, new = _as_early(old), _as_early(new)
    matched = match(old, new)
    told = Told(matched)
    tell_circuits(told)
    tell_wires(told)
    for sort in SORTS:
        if sort != "wire":
            tell_things(told, sort)
    found = sorted(told.changes, key=_order)
    sheets = matched.pairs["sheet"]
    added = {sheet for sheet in new.things["sheet"] if sheet not in sheets.values()}
    touched = {sheet for change in found for sheet in change.sheets} - added
    seen = None
    if old.drawn and new.drawn:
        seen = sighted(old.drawn, new.drawn, sheets, matched.pairs["state"])
        # What a drawing shows is more than the facts can tell, and less than they might.
        other = seen.sheets("differs") | seen.sheets("unsure") | seen.sheets("new")
        found = [replace(one, sheets=tuple(sheet for sheet in one.sheets if sheet in other)) for one in found]
        touched = (touched & other | seen.sheets("differs")) - added
        added |= seen.sheets("new")
    return Changes(
        old.variant,
        new.variant,
        (*_variant(matched), *found),
        tuple(sorted(touched - added, key=natural)),
        tuple(sorted(added, key=natural)),
        tuple(sorted((sheet for sheet in old.things["sheet"] if sheet not in sheets), key=natural)),
        seen,
    )


def _as_early(inventory: Inventory) -> Inventory:
    """An inventory with no more in it than those of the first packs, so that what they did not keep is no news."""

    def kept(record: Record) -> Record:
        return {fact: value for fact, value in record.items() if not fact.startswith(WAIVER)}

    things = {
        sort: {} if sort in ("offer", "colour") else {key: kept(record) for key, record in records.items()}
        for sort, records in inventory.things.items()
    }
    return Inventory(kept(inventory.variant), things)


def _order(change: Change) -> tuple[object, ...]:
    subjects = [natural(subject) for subject in change.subjects]
    return GROUPS.index(change.group), subjects, change.what, change.partial, change.old, change.new


def _variant(matched: Matched) -> list[Change]:
    """What is told of the vehicle itself. Between two variants their names are what tells them apart, and no news."""
    old, new = matched.old.inventory.variant, matched.new.inventory.variant
    mine, theirs = text(old, "id"), text(new, "id")
    found = [
        stated(
            Change(
                f"variant-{fact}", "changed", "variant", (mine,), (theirs,), "vehicle", "", words.noun, words.verb,
                printed(fact, old.get(fact)), printed(fact, new.get(fact)),
            )
        )
        for fact, words in FACTS["variant"].items()
        if old.get(fact) != new.get(fact) and (mine == theirs or fact != "title")
    ]  # fmt: skip
    found += [
        replace(
            fact_change("variant", (mine, theirs), (old, new), "waiver", words, *said), title="", partial=not all(said)
        )
        for words, *said in waiver_words(old, new)
    ]
    before, after = texts(old, "options"), texts(new, "options")
    found += [
        Change("option-removed", "removed", "option", (_id(one),), (), "option", _title(one))
        for one in before
        if _id(one) not in map(_id, after)
    ]
    found += [
        Change("option-added", "added", "option", (), (_id(one),), "option", _title(one))
        for one in after
        if _id(one) not in map(_id, before)
    ]
    return found


def _id(option: str) -> str:
    return option.partition(" (")[0]


def _title(option: str) -> str:
    return option.partition(" (")[2].removesuffix(")")
