"""The most that some consumers can draw at one time: what one switch excludes never adds up, and nothing counts twice.

A consumer may be there several times, once for each way on which it can be fed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from compiler.network.needs import Needs, joined

if TYPE_CHECKING:
    from compiler.network.flows import Consumer

_STEPS = 4000  # beyond these what is left is taken from the greatest on, without trying further

_Item = tuple["Consumer", Needs]


def greatest(consumers: Iterable[Consumer]) -> tuple[Consumer, ...]:
    """Those that draw the most of all that can be on together, the greatest first."""
    order = {id(c): place for place, c in enumerate(sorted(consumers, key=lambda c: -c.amperes))}
    by_id = {id(c): c for c in consumers}
    items = [(by_id[key], dict(by_id[key].need)) for key in order]
    found = _Search().best(items)
    return tuple(sorted(found, key=lambda c: order[id(c)]))


class _Search:
    """One search: the switch with most to say is put in each of its positions; what then hangs on no common switch
    is searched apart."""

    def __init__(self) -> None:
        self._left = _STEPS

    def best(self, items: Sequence[_Item]) -> list[Consumer]:
        self._left -= 1
        undecided = _undecided(items)
        if not undecided or self._left <= 0:
            return _together(items)
        found: list[Consumer] = []
        for part in _parts(items, undecided):
            own = {s for _, needs in part for s in needs.keys() & undecided.keys()}
            found += self._decided(part, max(sorted(own), key=undecided.__getitem__)) if own else _together(part)
        return found

    def _decided(self, items: Sequence[_Item], subject: str) -> list[Consumer]:
        """The best of the positions of one switch."""
        # In the order in which the greatest consumers want them.
        positions = dict.fromkeys(p for _, needs in items if subject in needs for p in sorted(needs[subject]))
        best: list[Consumer] = []
        most = -1.0
        tried: set[tuple[int, ...]] = set()
        for position in positions:
            places = tuple(n for n, (_, needs) in enumerate(items) if position in needs.get(subject, (position,)))
            if places in tried:
                continue
            tried.add(places)
            rest = [(items[n][0], {s: p for s, p in items[n][1].items() if s != subject}) for n in places]
            found = self.best(rest)
            total = sum(consumer.amperes for consumer in found)
            if total > most + 1e-12:
                most, best = total, found
        return best


def _undecided(items: Iterable[_Item]) -> dict[str, int]:
    """The subjects that no single position serves, each with how many items name it."""
    common: Needs = {}
    named: dict[str, int] = defaultdict(int)
    for _, needs in items:
        for subject, positions in needs.items():
            common[subject] = common[subject] & positions if subject in common else positions
            named[subject] += 1
    return {subject: named[subject] for subject, left in common.items() if not left}


def _parts(items: Sequence[_Item], undecided: dict[str, int]) -> list[list[_Item]]:
    """Items that share an undecided subject, or are the same consumer, stay together."""
    above: dict[object, object] = {}

    def root(key: object) -> object:
        while (step := above.get(key, key)) != key:
            key = step
        return key

    for consumer, needs in items:
        for subject in needs.keys() & undecided.keys():
            above[root(subject)] = root(consumer.branch)
    found: dict[object, list[_Item]] = defaultdict(list)
    for item in items:
        found[root(item[0].branch)].append(item)
    return list(found.values())


def _together(items: Iterable[_Item]) -> list[Consumer]:
    """From the greatest on, each that agrees with what has been taken; each consumer once."""
    set_: Needs = {}
    taken: dict[int, Consumer] = {}
    for consumer, needs in items:
        if consumer.branch in taken:
            continue
        both = joined(set_, needs)
        if both is not None:
            set_ = both
            taken[consumer.branch] = consumer
    return list(taken.values())
