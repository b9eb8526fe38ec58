"""Waiting for the author: tells when a file of a project changes."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from pathlib import Path

_EVERY_S = 0.3
_SUFFIXES = (".loom", ".toml", ".svg", ".png")
State = dict[str, tuple[int, int]]


def states(root: Path, but: Path) -> Iterator[State]:
    """The files that a pack is made from, each with its time and size: now, and again whenever they have changed.

    Of the project folder `root` all sources, settings and drawings count, but not what is in the folder `but` or in a
    hidden one. A change counts when it is over: when two looks in a row find the same.
    """
    told = _state(root, but)
    yield told
    before = told
    while True:
        time.sleep(_EVERY_S)
        now = _state(root, but)
        if now == before and now != told:
            told = now
            yield told
        before = now


def _state(root: Path, but: Path) -> State:
    found: State = {}
    for at, folders, names in os.walk(root):
        folders[:] = [name for name in folders if not name.startswith(".") and Path(at, name).resolve() != but]
        for name in names:
            if name.endswith(_SUFFIXES):
                path = os.path.join(at, name)  # noqa: PTH118  thousands of them, three times a second
                try:
                    held = os.stat(path)  # noqa: PTH116
                except OSError:
                    continue  # gone between two looks
                found[path] = (held.st_mtime_ns, held.st_size)
    return found
