"""What an older issue or another variant is read from: a variant's source, or the inventory in a published pack."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from compiler.changes.inventory import Inventory

FILE = "inventory.json"


def inventory_at(path: Path, variant: str = "") -> Inventory:
    """The inventory of what is at `path`: a variant file, a pack's folder, or its inventory.json.

    variant  id of the variant that is wanted where the folder holds the packs of several

    Raises CannotRun for what is none of these or cannot be read, and OSError.
    """
    from compiler.changes.inventory import inventory_of
    from compiler.changes.stored import LARGEST, InventoryError, read_inventory
    from loomwright.commands.models import model_of
    from loomwright.errors import CannotRun
    from loomwright.files import read_plain

    if path.is_dir():
        path = _in_folder(path, variant)
    elif path.suffix != ".json":
        return inventory_of(model_of(path, "compared"))
    data = read_plain(path, LARGEST + 1)
    if len(data) > LARGEST:
        raise CannotRun(f"{path}: this is too large for an inventory (limit {LARGEST // 2**20} MiB)")
    try:
        return read_inventory(data)
    except InventoryError as error:
        raise CannotRun(f"{path}: {error}") from error


def last_issue(path: Path, variant: str) -> Inventory | None:
    """The last issue of a variant, as inventory_at finds it; None where a folder holds packs of others and none of it.

    Such a variant is new in the line. Raises what inventory_at raises.
    """
    others = path.is_dir() and not (path / FILE).is_file() and any(path.glob(f"*/{FILE}"))
    if others and not _own(path, variant).is_file():
        return None
    found = inventory_at(path, variant)
    # Two ids may make one name for a folder.
    return None if others and found.id != variant else found


def _own(folder: Path, variant: str) -> Path:
    """Where the inventory of a variant is in a folder of packs, by the name that `publish` gives its pack there."""
    from renderers.text import file_name

    return folder / file_name(variant) / FILE if variant else folder / FILE


def _in_folder(folder: Path, variant: str) -> Path:
    from loomwright.errors import CannotRun

    own = folder / FILE
    if not own.is_file():
        own = _own(folder, variant)
    if not own.is_file():
        raise CannotRun(f"{folder}: no {FILE} in this folder; a pack that was published with json has one")
    return own
