"""A fuse: terminal 1 the feed side, terminal 2 the load side, rating and type.

Types: `mini` (ISO 8820-3 type F), `blade` (type C), `maxi` (type E), `cartridge`, `strip`, `torpedo`."""

from __future__ import annotations

from compiler.kinds.base import Kind, pair
from compiler.model.items import Behaviour
from compiler.network.behaviours import protection

KIND = Kind(
    name="fuse",
    title="fuse",
    letter="F",
    stretches=pair(Behaviour.PROTECTION),
    electrics=protection,
    ratings={"current": ("current",), "resistance": ("resistance",)},
    words=("colour",),
    choices={"type": ("mini", "blade", "maxi", "cartridge", "strip", "torpedo")},
    required=("current",),
)
