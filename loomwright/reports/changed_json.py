"""Changes as JSON, for programs. `version` rises when a field changes its meaning or goes.

{
  "version": 1,
  "old": {"id": "S4", "title": "...", "issue": "2027-1", "supply": 12.6, "options": [...]},
  "new": {...},                       the facts of the two variants; absent where not given
  "is_issue": true,                   two issues of one variant, not two variants of a line
  "sheets": {"changed": ["38"], "added": [], "removed": [],     removed ones by their old numbers
             "lit": {"Rear screen on": ["38"]}},                changed ones in a state; of two packs only
  "changes": [
    {
      "what": "wire-colour",          sort and fact, or sort and added, removed, renamed
      "action": "changed",            added, removed, renamed or changed
      "group": "Wires",               the heading it stands under
      "sort": "wire", "name": "wire", "title": "",   what the thing is, and its name
      "old_ids": ["48B"], "ids": ["48B"],     by old and new id; one is empty for what was added or removed
      "fact": "colour",
      "old": "BK/YE", "new": "BK/WH", as printed; empty where not given
      "partial": false,               true where old and new are what went and what came of a list
      "parts": [["48A", "61A"]],      told with this one: old and new id of the wires of a renumbered circuit ...
      "circuits": ["48"], "items": [],
      "sheets": ["38"],               sheets of the new issue that show it
      "says": "wire 48B recoloured: BK/YE -> BK/WH"
    }
  ]
}
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from compiler.changes.words import sentence

if TYPE_CHECKING:
    from compiler.changes.change import Change, Changes

VERSION = 1


def changed_json(changes: Changes) -> str:
    """Changes as JSON text with a line feed at its end."""
    data = {
        "version": VERSION,
        "old": changes.old,
        "new": changes.new,
        "is_issue": changes.is_issue,
        "sheets": {
            "changed": changes.sheets,
            "added": changes.new_sheets,
            "removed": changes.gone_sheets,
            "lit": changes.lit_sheets,
        },
        "changes": [_change(change, changes) for change in changes.changes],
    }
    return json.dumps(data, indent=2) + "\n"


def _change(change: Change, changes: Changes) -> dict[str, Any]:
    return {
        "what": change.what,
        "action": change.action,
        "group": change.group,
        "sort": change.sort,
        "name": change.name,
        "title": change.title,
        "old_ids": change.old_ids,
        "ids": change.ids,
        "fact": change.noun,
        "old": change.old,
        "new": change.new,
        "partial": change.partial,
        "parts": change.parts,
        "circuits": change.circuits,
        "items": change.items,
        "sheets": change.sheets,
        "says": sentence(change, changes),
    }
