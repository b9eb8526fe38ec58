"""What a chart is: its place in the pack and how it is built. One chart, one file, found by being in this folder."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from renderers.context import PackContext
from renderers.document import Block

Blocks = tuple[Block, ...]


class Chart(NamedTuple):
    """A chart: one section of a pack.

    order    place in the pack, rising
    id       the section's id, for files and addresses
    build    the section's blocks; an empty tuple leaves the section out
    caution  the short caution that suits its pages, or empty
    heading  the title where it depends on the pack
    """

    order: int
    id: str
    title: str
    build: Callable[[PackContext], Blocks]
    caution: str = ""
    heading: Callable[[PackContext], str] | None = None
