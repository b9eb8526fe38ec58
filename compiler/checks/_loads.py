"""What loads draw together, in the words of findings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from compiler.checks._words import amperes, listing
from compiler.network.flows import Consumer
from grammar.finding import Note


def rounded(value: float) -> str:
    """A current with as many figures as it deserves: `18.3 A`, `0.13 A`."""
    return amperes(float(f"{value:.3g}"))


def known(consumers: Iterable[Consumer]) -> list[Consumer]:
    """Those whose rating the source gives: what is guessed is held against nobody."""
    return [consumer for consumer in consumers if not consumer.assumed]


def sum_note(consumers: Sequence[Consumer], most: int = 8) -> Note:
    """The addends, so that the sum can be checked on paper."""
    greatest = sorted(consumers, key=lambda consumer: -consumer.amperes)
    shown = [f"{consumer.name} {rounded(consumer.amperes)}" for consumer in greatest]
    at = greatest[0].device.at if greatest else None
    return Note(at, f"at the same time: {listing(shown, most)}, at rated voltage")
