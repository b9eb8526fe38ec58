"""Which places a waiver excuses, for checks that choose the place of a finding among several."""

from __future__ import annotations

from collections.abc import Callable

from compiler.model.variant import Variant
from grammar.source import Span


def excused(variant: Variant, check: str) -> Callable[[Span], bool]:
    """A test for places at which a waiver takes out a finding of `check`."""
    covered = [
        covers
        for waiver in variant.waivers
        if waiver.check == check and waiver.reason.strip()
        for covers in (waiver.covers, *waiver.also)
    ]

    def is_excused(at: Span) -> bool:
        return any(c.source is at.source and c.start <= at.start < c.end for c in covered)

    return is_excused
