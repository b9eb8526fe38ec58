"""Variants to compare: the demo line, edited and not."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from compiler.assembly.assemble import assemble
from compiler.assembly.library import Library
from compiler.assembly.project import Project, Settings, find_project
from compiler.changes.change import Change, Changes
from compiler.changes.inventory import Inventory, inventory_of
from compiler.model.variant import Variant
from tests.seeded.edits import Planted

DEMO = Path(__file__).parents[2] / "samples" / "sandpiper"


@cache
def library() -> Library:
    return Library(find_project(DEMO / "S4.loom"))


@cache
def demo(name: str = "S4") -> Variant:
    variant = assemble(library(), DEMO / f"{name}.loom").variant
    assert variant is not None
    return variant


@cache
def demo_inventory(name: str = "S4") -> Inventory:
    return inventory_of(demo(name))


def after(planted: Planted) -> Inventory:
    """The inventory of the edited demo."""
    return inventory_of(variant_after(planted))


def variant_after(planted: Planted) -> Variant:
    """The edited demo; the edit leaves it readable, with every name known."""
    root = library().project.root
    texts = {root / source.name: text for source, text in planted.texts().items()}
    done = assemble(library().with_texts(texts), DEMO / "S4.loom")
    assert done.variant is not None
    assert [finding.says for finding in done.findings] == []
    return done.variant


def of_text(folder: Path, text: str) -> Inventory:
    """The inventory of a source text."""
    path = folder / "t.loom"
    path.write_text(text, "utf-8")
    variant = assemble(Library(Project(folder, Settings())), path).variant
    assert variant is not None
    return inventory_of(variant)


def said(changes: Changes) -> list[tuple[str, tuple[str, ...], str, str]]:
    """What, ids, old and new of every statement, sorted."""
    return sorted((change.what, change.subjects, change.old, change.new) for change in changes.changes)


_TURNED = {"added": "removed", "removed": "added", "split": "merged", "merged": "split"}


def turned(changes: Changes) -> list[tuple[object, ...]]:
    """The statements as they must be when the two are compared the other way round."""
    return sorted(_key(change, turn=True) for change in changes.changes)


def straight(changes: Changes) -> list[tuple[object, ...]]:
    """The statements in the form of `turned`."""
    return sorted(_key(change, turn=False) for change in changes.changes)


def _key(change: Change, *, turn: bool) -> tuple[object, ...]:
    stem, dash, tail = change.what.rpartition("-")
    what = f"{stem}{dash}{_TURNED.get(tail, tail)}" if turn else change.what
    way = -1 if turn else 1
    ids = tuple(tuple(sorted(one)) for one in (change.old_ids, change.ids)[::way])
    values: tuple[object, ...] = (change.old, change.new)[::way]
    if change.action == "renamed":  # ids that changed places stand in another order
        values = tuple(sorted(pair[::way] for pair in zip(change.old.split(), change.new.split(), strict=False)))
    parts = sorted(part[::way] for part in change.parts)
    return what, ids, values, tuple(parts)
