"""Device and part kinds. `kinds()` finds every module of this folder that defines `KIND`: a new kind is one new
file."""

from __future__ import annotations

import pkgutil
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from importlib import import_module

from compiler.kinds.base import Kind


@cache
def kinds() -> Mapping[str, Kind]:
    """Name -> kind, sorted by name. The module's docstring is the kind's page."""
    found: dict[str, Kind] = {}
    for module_info in sorted(pkgutil.iter_modules(__path__), key=lambda info: info.name):
        if module_info.name == "base":
            continue
        module = import_module(f"{__name__}.{module_info.name}")
        kind: Kind = module.KIND
        found[kind.name] = replace(kind, page=(module.__doc__ or "").strip())
    return dict(sorted(found.items()))
