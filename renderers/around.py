"""What stands around a variant in its project: the other variants of the line, the drawings of zones, the policies."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

from compiler.assembly.project import Project
from compiler.changes.inventory import Inventory
from compiler.exchange.drawing import Drawing, DrawingError, drawing_in
from compiler.model.variant import Variant
from grammar.limits import FILE_SIZE
from grammar.parser import parse
from grammar.source import Source
from grammar.tree import Statement
from renderers.text import natural_key

_SUFFIX = ".loom"
_VARIANT = re.compile(r"^[ \t]*variant[ \t]", re.MULTILINE)
# A quoted text, a comment, or a brace: enough to find where a statement's block ends.
_PIECE = re.compile(r'"(?:[^"\\\n]|\\.)*"|#[^\n]*|[{}\n]')
_NOTHING: Mapping[str, Any] = MappingProxyType({})


class Sibling(NamedTuple):
    """A variant of the line, as the `variant` statement of its file says it."""

    id: str
    title: str
    series: str
    model_year: str
    issue: str
    options: tuple[str, ...]


class Around(NamedTuple):
    """What a pack takes from its project.

    policy    policies of the project's settings (`rated-voltage`, `conductor-temperature` ...)
    siblings  every variant of the line, this one too, sorted by series and id
    drawings  zone -> the author's drawing of it
    refused   zone -> why the drawing that it names cannot be used, in words
    since     what changes are told from: an earlier issue, or another variant of the line
    states    names of states to publish sheets in, besides those for which the source asks it
    faults    which fault charts there are to be: `none`, `source` (complaints, trouble codes), `loads` (and all loads)
    """

    policy: Mapping[str, Any] = _NOTHING
    siblings: tuple[Sibling, ...] = ()
    drawings: Mapping[str, Drawing] = _NOTHING
    refused: Mapping[str, str] = _NOTHING
    since: Inventory | None = None
    states: tuple[str, ...] = ()
    faults: str = "none"


def look_around(project: Project, variant: Variant) -> Around:
    """What stands around a variant. Files that cannot be read are left out; of drawings it is said why."""
    drawings: dict[str, Drawing] = {}
    refused: dict[str, str] = {}
    for zone in variant.zones.values():
        if zone.drawing:
            try:
                drawings[zone.id] = drawing_in(project.root, zone.drawing)
            except DrawingError as error:
                refused[zone.id] = str(error)
    return Around(project.settings.policy, siblings(project), drawings, refused)


def siblings(project: Project) -> tuple[Sibling, ...]:
    """The variants of a project. Only the `variant` statement of each file is parsed."""
    found: dict[str, Sibling] = {}
    for path in sorted(project.root.rglob(f"*{_SUFFIX}")):
        hidden = any(part.startswith(".") for part in path.relative_to(project.root).parts)
        try:
            if hidden or not path.resolve().is_relative_to(project.root) or not path.is_file():
                continue
            known = path.stat()
        except (OSError, RuntimeError):  # gone since it was listed, or a link that leads round in a circle
            continue
        for sibling in _told(path, known.st_mtime_ns, known.st_size):
            found.setdefault(sibling.id, sibling)
    return tuple(sorted(found.values(), key=lambda s: (natural_key(s.series), natural_key(s.id))))


@lru_cache(maxsize=4096)
def _told(path: Path, _changed: int, _size: int) -> tuple[Sibling, ...]:
    """The variants that a file declares: one, or none. Each file is read once for all variants of a run."""
    return tuple(_read(path))


def _read(path: Path) -> Iterator[Sibling]:
    try:
        with path.open("rb") as file:
            text = file.read(FILE_SIZE + 1).decode("utf-8-sig", "replace")
    except OSError:
        return
    start = _VARIANT.search(text)
    if start is None:
        return
    tree = parse(Source(path.name, text[start.start() : _end(text, start.end())])).tree
    for node in tree.lines:
        if isinstance(node, Statement) and node.rule == "variant":
            facts: dict[str, tuple[str, ...]] = {}
            for line in node.block.lines if node.block else ():
                if isinstance(line, Statement):
                    facts[line.word.text] = (*facts.get(line.word.text, ()), *(word.value for word in line.values))
            title = node.values[1].value if len(node.values) > 1 else ""
            one = {name: " ".join(facts.get(name, ())[:1]) for name in ("series", "model-year", "issue")}
            options = facts.get("options", ())
            yield Sibling(node.values[0].text, title, one["series"], one["model-year"], one["issue"], options)


def _end(text: str, at: int) -> int:
    """Where the statement ends that goes on at `at`: behind its block, or at the end of its line."""
    depth = 0
    for piece in _PIECE.finditer(text, at):
        depth += {"{": 1, "}": -1}.get(piece[0], 0)
        if depth <= 0 and piece[0] in "}\n":
            return piece.end()
    return len(text)
