"""Checks. `checks()` finds every module of this folder that defines a `Check`: a new check is one file and its page."""

from __future__ import annotations

import pkgutil
from collections.abc import Mapping
from functools import cache
from importlib import import_module
from importlib.resources import files

from compiler.checks.base import Check

# Names of findings that no check of its own raises: reading and assembly do.
READING = {
    "syntax": "reading",
    "limit": "reading",
    "outside-project": "reading",
    "fragment-loop": "reading",
    "fragment-missing": "reading",
    "check-crashed": "reading",
}


@cache
def checks() -> Mapping[str, Check]:
    """Name -> check, sorted by name."""
    found: dict[str, Check] = {}
    for info in sorted(pkgutil.iter_modules(__path__), key=lambda info: info.name):
        if info.name in ("base", "run") or info.name.startswith("_"):
            continue  # not checks: the frame, and what checks share
        module = import_module(f"{__name__}.{info.name}")
        for value in vars(module).values():
            if isinstance(value, type) and issubclass(value, Check) and value.__module__ == module.__name__:
                found[value.name] = value()
    return dict(sorted(found.items()))


def page(name: str) -> str:
    """The page of a check or of a reading finding as Markdown. Raises KeyError for a name that does not exist."""
    if name not in checks() and name not in READING:
        raise KeyError(name)
    return files(__name__).joinpath("pages", f"{name}.md").read_text("utf-8")


def known_names() -> tuple[str, ...]:
    """Every name a finding can have, sorted."""
    return tuple(sorted([*checks(), *READING]))
