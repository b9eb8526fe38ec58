"""A relay: coil and contacts in its block. Without a block it is a make-contact relay: coil 85 86, contact 30 87.

Terminals by DIN 72552 in everyday vehicle use: 85 and 86 coil, 30 common, 87 make, 87a break (30/87 use: common
practice)."""

from __future__ import annotations

from compiler.kinds.base import Kind

KIND = Kind(
    name="relay",
    title="relay",
    letter="K",
    terminals=(),
    least=0,
    most=None,
    ratings={"current": ("current",), "voltage": ("voltage",)},
    as_part=False,
    default_parts="coil 86 85\ncontact 30 87 when energised",
)
