"""A printed circuit such as the board behind an instrument panel: traces join its terminals and the parts on it."""

from __future__ import annotations

from compiler.kinds.base import Kind

KIND = Kind(
    name="printed-circuit",
    title="printed circuit",
    letter="A",
    terminals=(),
    least=0,
    most=None,
    as_part=False,
)
