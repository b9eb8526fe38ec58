"""A search kept in a file, to go on with later."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from loomwright.errors import CannotRun
from loomwright.files import read_plain, write_whole

if TYPE_CHECKING:
    from compiler.isolation.bench import Bench
    from compiler.isolation.search import Search

VERSION = 1
_LARGEST = 1 << 20


def save(path: Path, search: Search) -> None:
    """Write a search, whole or not at all. Raises OSError."""
    data = {"version": VERSION, "variant": search.case.network.variant.id, "search": search.as_json()}
    write_whole(path, (json.dumps(data, indent=2) + "\n").encode())


def resume(path: Path, bench: Bench) -> Search:
    """The search in a file. Raises OSError, CannotRun, and what a search that no longer fits raises."""
    from compiler.isolation.search import Search

    data = _read(path, read_plain(path, _LARGEST + 1))
    if data.get("version") != VERSION or not isinstance(data.get("search"), dict):
        raise CannotRun(f"{path}: holds no search that this version can go on with")
    if data.get("variant") != bench.network.variant.id:
        raise CannotRun(f"{path}: the search is about variant {data.get('variant')}, not {bench.network.variant.id}")
    return Search.resumed(bench, data["search"])


def _read(path: Path, text: bytes) -> dict[str, Any]:
    if len(text) > _LARGEST:
        raise CannotRun(f"{path}: too large for a search")
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise CannotRun(f"{path}: is no JSON: {error}") from error
    if not isinstance(data, dict):
        raise CannotRun(f"{path}: holds no search")
    return data
