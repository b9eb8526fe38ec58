"""A control module: its block lists component connectors and pins with their roles."""

from __future__ import annotations

from compiler.kinds.base import Kind

KIND = Kind(
    name="module",
    title="control module",
    letter="A",
    terminals=(),
    least=0,
    most=None,
    as_part=False,
)
