"""The order of findings: as people sort ids."""

from __future__ import annotations

import re
from collections.abc import Iterable

_PIECES = re.compile(r"[0-9]+|[^0-9]+")


def natural(name: str) -> tuple[tuple[tuple[int, int, str], ...], str]:
    """Sort key that puts `F9` before `F10`; numbers of any length, without turning them into numbers."""
    pieces = _PIECES.findall(name)
    return tuple((0, len(p.lstrip("0")), p.lstrip("0")) if p[0].isdigit() else (1, 0, p) for p in pieces), name


def listed(names: Iterable[str]) -> str:
    """Ids in their order, with blanks between."""
    return " ".join(sorted(names, key=natural))
