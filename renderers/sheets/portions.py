"""Very large sheets cut in portions that are laid out by themselves: so time grows evenly with the size of a vehicle, and
an edit makes only its own portion again. What stands in which portion does not depend on how wide a label is."""

from __future__ import annotations

from collections.abc import Mapping

from compiler.model.items import Point
from compiler.model.variant import Variant
from renderers.sheets.split import split
from renderers.sheets.units import Content

LARGE = 240  # wires and ends of wires: more than ten pages


def portions(variant: Variant, content: Content, potential: Mapping[Point, float]) -> list[Content]:
    """The content of a sheet in portions; in one, if it is not very large or cannot be cut."""
    size = _size(content)
    halves = split(variant, content, 0.5, potential, {}) if size > LARGE else None
    if halves is None or max(map(_size, halves)) >= size:
        return [content]
    return [part for half in halves for part in portions(variant, half, potential)]


def _size(content: Content) -> int:
    return len(content.wires) + len(content.cuts)
