"""Statements in words: a sentence each, for data and for a reader without columns."""

from __future__ import annotations

from compiler.changes.change import TITLED, Change, Changes
from compiler.changes.inventory import Record
from compiler.changes.matching import text

NOT_GIVEN = "not given"


def subject(change: Change) -> str:
    """`wires 48A 48B`, `fuse F9 "Rear screen"`; the vehicle itself has no id."""
    if change.sort == "variant":
        return "vehicle"
    ids = " ".join(change.subjects)
    name = f"{change.name}s" if len(change.subjects) > 1 else change.name
    if change.sort in TITLED:
        return f'{name} "{ids}"'
    return f'{name} {ids} "{change.title}"' if change.title else f"{name} {ids}"


def outcome(change: Change, changes: Changes) -> str:
    """What happened to the thing, or how the two variants differ in it, without the values."""
    if changes.is_issue:
        return change.verb or change.action
    if change.action in ("added", "removed") or change.partial:
        only = f"only in {call(changes.new if change.new or change.action == 'added' else changes.old)}"
        return f"{change.noun} {only}".lstrip()
    return change.noun


def values(change: Change) -> str:
    """`BK/YE -> BK/WH`; what came or went as it stands."""
    if change.action in ("added", "removed") or change.partial:
        return change.new or change.old
    return f"{change.old or NOT_GIVEN} -> {change.new or NOT_GIVEN}"


def sentence(change: Change, changes: Changes) -> str:
    """The whole statement: `wire 48B recoloured: BK/YE -> BK/WH`."""
    lead = f"{subject(change)}{' ' if changes.is_issue else ', '}{outcome(change, changes)}"
    said = values(change)
    return f"{lead}: {said}" if said else lead


def call(variant: Record) -> str:
    """What a variant is called in a sentence."""
    return text(variant, "id") or "this variant"


def heading(changes: Changes) -> str:
    """`Changes of S4 since issue 2027-1`, `Differences between S2 and S4`."""
    if not changes.is_issue:
        return f"Differences between {call(changes.old)} and {call(changes.new)}"
    before, after = text(changes.old, "issue"), text(changes.new, "issue")
    if before and before != after:
        return f"Changes of {call(changes.new)} since issue {before}"
    return f"Changes of {call(changes.new)}"
