"""What a change is, and the facts that can change, with their words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

from compiler.changes.drawn import Sighted, sheet_of
from compiler.changes.inventory import Record

Action = Literal["added", "removed", "renamed", "changed"]


class FactWords(NamedTuple):
    """A fact in words.

    noun   what it is: `colour`
    verb   what happens when it changes: `recoloured`
    drawn  whether a wiring sheet shows it
    """

    noun: str
    verb: str
    drawn: bool = True


GROUPS = (
    "Vehicle",
    "Colour codes",
    "Circuits",
    "Wires",
    "Cables and twisted wires",
    "Fuse blocks and buses",
    "Fuses, breakers, fusible links",
    "Components",
    "Connectors",
    "Splices",
    "Grounds",
    "Zones and harnesses",
    "Sheets",
    "States, tests, complaints, trouble codes",
)
"""Headings, in the order in which changes are told."""

_GROUPED: Mapping[str, str] = {
    "variant": GROUPS[0], "option": GROUPS[0], "offer": GROUPS[0], "colour": GROUPS[1], "circuit": GROUPS[2],
    "wire": GROUPS[3], "cable": GROUPS[4], "twist": GROUPS[4], "block": GROUPS[5], "bus": GROUPS[5],
    "connector": GROUPS[8], "splice": GROUPS[9], "ground": GROUPS[10], "structure": GROUPS[10], "zone": GROUPS[11],
    "harness": GROUPS[11], "sheet": GROUPS[12], "state": GROUPS[13], "expect": GROUPS[13], "complaint": GROUPS[13],
    "trouble-code": GROUPS[13],
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Change:
    """One statement.

    what     stable name of what changed: sort and fact (`wire-colour`), or sort and action (`splice-added`)
    sort     sort of thing, as in the inventory; `variant` for the vehicle itself, `option` for an option that it has
    old_ids, ids
             the things, by their old and new ids (the same but for a renamed thing; one side empty for an added or
             removed one)
    name     what the thing is, in words (`fuse`, `relay`, `wire`), and `title` its name
    noun, verb
             the fact in words, as FactWords
    old, new the fact before and after, as printed; empty when not given. An added thing has `new`, a removed one `old`.
    partial  `old` or `new` is not the whole fact but what went from it or came to it: `now also joins 48D`
    parts    things told with this one and not for themselves: (old id, new id) of the wires of a circuit that was
             added, removed or renumbered, of the plugs of a component
    circuits, items
             what it is about, by new id (by old id for what is gone): for links
    sheets   sheets of the new issue that show it, by number
    drawn    whether a drawing of what it is about looks different for it
    """

    what: str
    action: Action
    sort: str
    old_ids: tuple[str, ...]
    ids: tuple[str, ...]
    name: str
    title: str = ""
    noun: str = ""
    verb: str = ""
    old: str = ""
    new: str = ""
    partial: bool = False
    parts: tuple[tuple[str, str], ...] = ()
    circuits: tuple[str, ...] = ()
    items: tuple[str, ...] = ()
    sheets: tuple[str, ...] = ()
    drawn: bool = False

    @property
    def group(self) -> str:
        """The heading it stands under, one of GROUPS."""
        if self.sort == "device":
            return GROUPS[6] if self.what.startswith("fuse-") else GROUPS[7]
        return _GROUPED[self.sort]

    @property
    def subjects(self) -> tuple[str, ...]:
        """The ids to call the things by: the new ones, the old ones of what is gone."""
        return self.ids or self.old_ids


@dataclass(frozen=True, slots=True)
class Changes:
    """All that changed between two inventories, in the order of GROUPS and of ids.

    old, new       the facts of the two variants themselves
    sheets         numbers of sheets of the new issue whose drawing or head changed; `new_sheets` those that were added,
                   `gone_sheets` those that went, by their old numbers
    seen           how the pages of the two compare, where both are packs that kept what they look like
    """

    old: Record
    new: Record
    changes: tuple[Change, ...]
    sheets: tuple[str, ...]
    new_sheets: tuple[str, ...]
    gone_sheets: tuple[str, ...]
    seen: Sighted | None = None

    @property
    def lit_sheets(self) -> Mapping[str, tuple[str, ...]]:
        """State -> numbers of the sheets that look different in it."""
        found: dict[str, dict[str, None]] = {}
        for (state, page), seen in self.seen.lit.items() if self.seen else ():
            if seen.how == "differs":
                found.setdefault(state, {})[sheet_of(page)] = None
        return {state: tuple(sheets) for state, sheets in found.items()}

    @property
    def differ(self) -> bool:
        """Whether anything differs, were it only how a sheet is drawn."""
        return bool(self.changes or self.sheets or self.lit_sheets)

    @property
    def is_issue(self) -> bool:
        """Whether these are two issues of one variant, and not two variants of a line."""
        return self.old.get("id") == self.new.get("id")


_TITLE = FactWords("name", "renamed")
_NOTES = FactWords("note", "note changed", drawn=False)
_PLACE = FactWords("location", "moved")
_COMMON: Mapping[str, FactWords] = {
    "title": _TITLE,
    "place": _PLACE,
    "access": FactWords("access", "access changed", drawn=False),
    "notes": _NOTES,
    "harness": FactWords("harness", "moved to another harness", drawn=False),
}
_UNDRAWN: Mapping[str, FactWords] = {fact: words._replace(drawn=False) for fact, words in _COMMON.items()}

# Facts of each sort, in the order in which they are told. `place` stands for zone, point and words together.
FACTS: Mapping[str, Mapping[str, FactWords]] = {
    "variant": {
        "title": _TITLE,
        "series": FactWords("series", "series changed", drawn=False),
        "model-year": FactWords("model year", "model year changed", drawn=False),
        "issue": FactWords("issue", "new issue", drawn=False),
        "supply": FactWords("supply", "supply changed", drawn=False),
        "colours": FactWords("colour table", "colour table changed", drawn=False),
    },
    "offer": {"title": FactWords("name", "renamed", drawn=False), "notes": _NOTES},
    "colour": {
        "title": FactWords("name", "renamed", drawn=False),
        "tracer": FactWords("standard tracer", "standard tracer changed", drawn=False),
        "shown": FactWords("swatch", "swatch changed"),
    },
    "circuit": {"title": _TITLE._replace(drawn=False), "notes": _NOTES},
    "wire": {
        "colour": FactWords("colour", "recoloured"),
        "size": FactWords("size", "resized"),
        "length": FactWords("length", "length changed", drawn=False),
        "harness": _COMMON["harness"],
        "core": FactWords("core", "moved to another core"),
        "type": FactWords("type", "type of wire changed", drawn=False),
        "class": FactWords("voltage-drop class", "voltage-drop class changed", drawn=False),
        "reason": FactWords("remark on its colour", "remark on its colour changed", drawn=False),
        "notes": _NOTES,
    },
    "device": {
        "kind": FactWords("kind", "replaced by another kind"),
        "title": _TITLE,
        "place": _PLACE,
        "block": FactWords("fuse block", "moved to another fuse block"),
        "word slot": FactWords("slot", "moved to another slot"),
        "bus": FactWords("feed", "fed from another bus"),
        "case": FactWords("case", "bolted to another structure", drawn=False),
        "size": FactWords("size", "resized"),
        "word type": FactWords("type", "type changed"),
        "word colour": FactWords("body colour", "body recoloured", drawn=False),
        "positions": FactWords("positions", "positions changed"),
        "terminals": FactWords("terminals", "terminals changed"),
        "spare": FactWords("spare terminals", "spare terminals changed", drawn=False),
        "access": _COMMON["access"],
        "notes": _NOTES,
    },
    "connector": {
        **_COMMON,
        "harnesses": FactWords("harnesses", "joins other harnesses"),
        "device": FactWords("component", "moved to another component"),
        "rows": FactWords("rows of cavities", "rows changed", drawn=False),
        "pins": FactWords("half with the pins", "half with the pins changed"),
        "doubled": FactWords("doubled cavities", "doubled cavities changed", drawn=False),
    },
    "block": _COMMON,
    "bus": {**_COMMON, "block": FactWords("fuse block", "moved to another fuse block")},
    "splice": _COMMON,
    "ground": {**_COMMON, "structure": FactWords("structure", "bolted to another structure", drawn=False)},
    "structure": _UNDRAWN,
    "harness": {"title": FactWords("name", "renamed", drawn=False), "notes": _NOTES},
    "zone": {
        "title": _TITLE,
        "outline": FactWords("outline", "outline changed", drawn=False),
        "drawing": FactWords("drawing", "another drawing", drawn=False),
        "notes": _NOTES,
    },
    "cable": {
        **_COMMON,
        "cores": FactWords("cores", "cores changed"),
        "twisted": FactWords("twisted cores", "twisted cores changed"),
    },
    "twist": {"title": _UNDRAWN["title"], "wires": FactWords("wires", "wires changed"), "notes": _NOTES},
    "sheet": {
        "title": _TITLE,
        "system": FactWords("system", "moved to another system"),
        "circuits": FactWords("circuits", "circuits changed"),
        "components": FactWords("components", "components changed"),
        "see": FactWords("reference to sheets", "references to sheets changed", drawn=False),
        "notes": _NOTES,
    },
    "state": {
        "set": FactWords("settings", "settings changed", drawn=False),
        "sheets": FactWords("sheets", "sheets changed", drawn=False),
        "notes": _NOTES,
    },
    "expect": {
        "set": FactWords("settings", "settings changed", drawn=False),
        "seen": FactWords("outcome", "outcome changed", drawn=False),
        "notes": _NOTES,
    },
    "complaint": {
        "set": FactWords("settings", "settings changed", drawn=False),
        "seen": FactWords("things seen", "things seen changed", drawn=False),
        "notes": _NOTES,
    },
    "trouble-code": {
        "title": FactWords("name", "renamed", drawn=False),
        "subject": FactWords("subject", "about another circuit or item", drawn=False),
        "fault": FactWords("fault", "about another fault", drawn=False),
        "notes": _NOTES,
    },
}

# Verb of an option that is offered in the line, or no longer is, and that this variant has not.
OFFERED: Mapping[Action, str] = {
    "added": "now offered in the line",
    "removed": "no longer offered in the line",
}

# What a sort is called in a sentence; a component goes by its kind.
NAMES: Mapping[str, str] = {
    "variant": "vehicle", "offer": "option", "block": "fuse block", "expect": "expectation",
    "trouble-code": "trouble code",
}  # fmt: skip

# Known by what they are called, in words.
TITLED = frozenset({"state", "expect", "complaint"})
PROTECTIVE = frozenset({"fuse", "breaker", "fusible-link"})
