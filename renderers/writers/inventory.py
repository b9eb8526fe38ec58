"""The variant as plain facts, kept with the pack so that the next issue can be compared with this one."""

from __future__ import annotations

from compiler.changes.stored import inventory_json
from renderers.document import Pack


def write_inventory(pack: Pack) -> dict[str, bytes]:
    """`inventory.json`, as compiler.changes.stored describes it."""
    return {"inventory.json": inventory_json(pack.inventory).encode("utf-8", "backslashreplace")}
