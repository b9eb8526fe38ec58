"""An inventory as JSON: kept with a published pack, read when the next issue is compared with it.

    {
      "schema": "loomwright-inventory/1",
      "variant": {"id": "S4", "title": "...", "issue": "2027-1", "supply": 12.6, "options": ["TOWING (Towing socket)"]},
      "things": {"wire": {"48B": {"circuit": "48", "a": "C12.G4", "b": "C40.7", "size": "2.5 mm2", "length": 3.1}}},
      "drawn": {"by": "...", "pages": {"38 (2)": "SHOWN NAMES"}, "lit": {"Rear screen on": {"38 (2)": "SHOWN NAMES"}}}
    }

`drawn` are the pages of the wiring sheets, at rest and in states, by two digests each (compiler.changes.drawn), and the
code that drew them; a pack of an early version has none.

Facts are texts, numbers in base units (V, A, W, ohm, m, min, Ah, F, degC, kPa) or lists of texts. Keys are sorted.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, NoReturn

from compiler.changes.drawn import Drawn, Look
from compiler.changes.inventory import SORTS, Inventory, Record, Value

SCHEMA = "loomwright-inventory/1"
LARGEST = 256 * 1024 * 1024
"""Bytes of a file that is read: some hundred times the inventory of a large vehicle."""


class InventoryError(Exception):
    """The data are no inventory; the message is one line for a person."""


def inventory_json(inventory: Inventory) -> str:
    """An inventory as JSON text with a line feed at its end."""
    data: dict[str, object] = {"schema": SCHEMA, "variant": inventory.variant, "things": inventory.things}
    if drawn := inventory.drawn:
        lit = {state: _looks_text(pages) for state, pages in drawn.lit.items()}
        data["drawn"] = {"by": drawn.by, "pages": _looks_text(drawn.pages), "lit": lit}
    return json.dumps(data, ensure_ascii=False, sort_keys=True, indent=1, default=list) + "\n"


def read_inventory(data: bytes) -> Inventory:
    """The inventory of a JSON text. Raises InventoryError for anything else."""
    try:
        found = json.loads(data, parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise InventoryError(f"this is no JSON: {' '.join(str(error).split())}") from error
    if not isinstance(found, dict) or not isinstance(found.get("schema"), str):
        raise InventoryError("this is no inventory: it names no schema")
    if found["schema"] != SCHEMA:
        raise InventoryError(f"this is no inventory that can be read: its schema is {found['schema']}, not {SCHEMA}")
    things = _object(found.get("things", {}), "things")
    unknown = sorted(set(things) - set(SORTS))
    if unknown:
        raise InventoryError(f"this is no inventory that can be read: it has things of an unknown sort, {unknown[0]}")
    records = {sort: _object(things.get(sort, {}), sort) for sort in SORTS}
    return Inventory(
        _record(found.get("variant", {}), "variant"),
        {sort: {key: _record(one, f"{sort} {key}") for key, one in of.items()} for sort, of in records.items()},
        early="colour" not in things,
        drawn=_drawn(found["drawn"]) if "drawn" in found else None,
    )


def _looks_text(pages: Mapping[str, Look]) -> dict[str, str]:
    return {page: f"{look.shown} {look.names}" for page, look in pages.items()}


def _drawn(value: Any) -> Drawn:
    found = _object(value, "drawn")
    lit = {state: _looks(pages, "lit") for state, pages in _object(found.get("lit", {}), "lit").items()}
    return Drawn(str(found.get("by", "")), _looks(found.get("pages", {}), "pages"), lit)


def _looks(value: Any, name: str) -> dict[str, Look]:
    pairs = {page: str(look).partition(" ") for page, look in _object(value, name).items()}
    return {page: Look(shown, names) for page, (shown, _, names) in pairs.items()}


def _object(value: Any, name: str) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise InventoryError(f"this is no inventory: {name} is not an object")
    return value


def _record(value: Any, name: str) -> Record:
    return {fact: _value(one, f"{fact} of {name}") for fact, one in _object(value, name).items()}


def _value(value: Any, name: str) -> Value:
    if isinstance(value, str):
        return value
    if isinstance(value, list) and all(isinstance(one, str) for one in value):
        return tuple(value)
    if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e15:
        return float(value)
    raise InventoryError(f"this is no inventory: {name} is neither text, number nor a list of texts")


def _no_number(text: str) -> NoReturn:
    raise ValueError(f"{text} is not a number")
