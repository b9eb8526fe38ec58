"""A sensor with electronics or a generating element: no direct current is assumed between its terminals."""

from __future__ import annotations

from compiler.kinds.base import Kind

KIND = Kind(
    name="sensor",
    title="sensor",
    letter="B",
    least=1,
    most=8,
    ratings={"resistance": ("resistance",), "voltage": ("voltage",), "current": ("current",)},
)
