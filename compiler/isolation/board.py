"""The suspects and tests of a case as matrices, and the arithmetic of choosing among the tests.

A test splits the suspects that are left into clusters: sets whose reading intervals, tolerances included, overlap in a
chain. Whatever is read within tolerance lies in the true fault's cluster, so no answer ever clears the true fault. A
test's worth is the information it gives about which group of suspects is at fault (C. E. Shannon, 1948), for the
minutes it costs. Halving a line of equal suspects is the special case (half-split, IT0338).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

import numpy as np

from compiler.isolation.access import Access
from compiler.isolation.catalogue import Entry
from compiler.isolation.policy import Rules
from compiler.isolation.types import Suspect
from compiler.network.faults import FaultSort

if TYPE_CHECKING:
    from compiler.network.columns import Flags, Numbers, Reals

Alive: TypeAlias = "tuple[int, ...]"
"""Numbers of the suspects that are left, rising."""

_NOTHING = 1e-9


class Cluster(NamedTuple):
    """Suspects that one answer leaves, and the range of the reading."""

    low: float
    high: float
    members: Alive


class Split(NamedTuple):
    """What every test does to some suspects: cluster numbers, tests by suspects, and bits by test."""

    clusters: Numbers
    bits: Reals


class Board:
    """Tests by suspects.

    low, high  readings with tolerance
    weight     probability of each suspect before anything but the complaint was seen
    label      groups: suspects with one label need not, or cannot, be told apart
    """

    def __init__(self, suspects: Sequence[Suspect], entries: Sequence[Entry], access: Access, rules: Rules) -> None:
        self.suspects, self.entries, self.rules = tuple(suspects), tuple(entries), rules
        count = len(suspects)
        self.low: Reals = np.asarray([e.low[:-1] for e in entries], dtype=np.float64).reshape(len(entries), count)
        self.high: Reals = np.asarray([e.high[:-1] for e in entries], dtype=np.float64).reshape(len(entries), count)
        weight = np.asarray([s.weight for s in suspects], dtype=np.float64)
        self.weight: Reals = weight / weight.sum() if count else weight
        places = sorted({place for e in entries for place in e.test.opens})
        self._place_bit = {place: 1 << n for n, place in enumerate(places)}
        self._access = {1 << n: access.minutes(place) for n, place in enumerate(places)}
        self.minutes = [e.test.minutes for e in entries]
        self.opens = [sum(self._place_bit[place] for place in e.test.opens) for e in entries]
        self.number = {e.test.id: n for n, e in enumerate(entries)}
        self._splits: dict[Alive, Split] = {}
        self._costs: dict[tuple[int, int], float] = {}

    # -- groups --------------------------------------------------------------------------------------------------
    @cached_property
    def apart(self) -> Flags:
        """Which pairs of suspects some test tells apart."""
        count = len(self.suspects)
        found = np.zeros((count, count), np.bool_)
        for low, high in zip(self.low, self.high, strict=True):
            found |= low[:, None] > high[None, :]
        return np.asarray(found | found.T)

    @cached_property
    def label(self) -> Numbers:
        """One number for each group. Faults of one part are one group, its shorts apart: the same work cures them. Two
        are one group where every fault of the one has a twin among the other's that no test tells from it."""
        parts: dict[tuple[str, bool], list[int]] = {}
        for n, suspect in enumerate(self.suspects):
            parts.setdefault((suspect.part, suspect.fault.sort is FaultSort.TO_GROUND), []).append(n)
        names = list(parts)
        root = list(range(len(names)))

        def top(n: int) -> int:
            while root[n] != n:
                n = root[n]
            return n

        if not names:
            return np.zeros(0, np.int64)
        order = np.concatenate([np.asarray(parts[name]) for name in names])
        starts = np.cumsum([0, *(len(parts[name]) for name in names)])[:-1]
        twins = np.logical_or.reduceat(~self.apart[np.ix_(order, order)], starts, axis=1)
        covered = np.logical_and.reduceat(twins, starts, axis=0)
        for one, other in np.argwhere(covered | covered.T).tolist():
            root[top(one)] = top(other)
        found = np.zeros(len(self.suspects), np.int64)
        for n, name in enumerate(names):
            found[parts[name]] = top(n)
        return found

    def groups(self, alive: Alive) -> list[Alive]:
        """The groups among some suspects, the likeliest first."""
        found: dict[int, list[int]] = {}
        for n in alive:
            found.setdefault(int(self.label[n]), []).append(n)
        ordered = sorted(found.values(), key=lambda g: (-float(self.weight[g].sum()), g))
        return [tuple(sorted(g, key=lambda n: (-float(self.weight[n]), n))) for g in ordered]

    # -- splitting -----------------------------------------------------------------------------------------------
    def split(self, alive: Alive) -> Split:
        """What every test does to some suspects; kept."""
        if alive not in self._splits:
            self._splits[alive] = self._computed(alive)
        return self._splits[alive]

    def _computed(self, alive: Alive) -> Split:
        rows = list(alive)
        low, high = self.low[:, rows], self.high[:, rows]
        tests, count = low.shape
        order = np.argsort(low, axis=1, kind="stable")
        reach = np.maximum.accumulate(np.take_along_axis(high, order, axis=1), axis=1)
        steps = np.take_along_axis(low, order, axis=1)[:, 1:] > reach[:, :-1]
        ranked = np.concatenate([np.zeros((tests, 1), np.int64), np.cumsum(steps, axis=1)], axis=1)
        clusters = np.empty((tests, count), np.int64)
        np.put_along_axis(clusters, order, ranked, axis=1)
        return Split(clusters, self._bits(clusters, rows))

    def _bits(self, clusters: Numbers, rows: list[int]) -> Reals:
        """Information about the group that each test gives, bits."""
        bits = np.zeros(len(clusters))
        telling = np.flatnonzero(clusters.max(axis=1, initial=0) > 0)
        if not len(telling):
            return bits
        _, label = np.unique(self.label[rows], return_inverse=True)
        labels, most = int(label.max()) + 1, int(clusters.max()) + 1
        weight: Reals = self.weight[rows] / self.weight[rows].sum()
        index = (np.arange(len(telling))[:, None] * most + clusters[telling]) * labels + label[None, :]
        size = len(telling) * most * labels
        sums: Reals = np.asarray(np.bincount(index.ravel(), np.tile(weight, len(telling)), size), dtype=np.float64)
        joint = sums.reshape(len(telling), most, labels)
        whole = _entropy(np.asarray(np.bincount(label, weight, labels), dtype=np.float64))
        bits[telling] = whole - (_sum_entropy(joint, (1, 2)) - _sum_entropy(joint.sum(axis=2), (1,)))
        bits[bits < _NOTHING] = 0.0
        return bits

    def parted(self, test: int, alive: Alive) -> list[Alive]:
        """The suspects that each answer of a test leaves, by rising reading."""
        of = self.split(alive).clusters[test].tolist()
        found: list[list[int]] = [[] for _ in range(max(of) + 1)]
        for n, place in zip(alive, of, strict=True):
            found[place].append(n)
        return [tuple(members) for members in found]

    def clusters(self, test: int, alive: Alive) -> list[Cluster]:
        """The answers that a test can give, by rising reading."""
        low, high = self.low[test], self.high[test]
        return [
            Cluster(float(low[list(members)].min()), float(high[list(members)].max()), members)
            for members in self.parted(test, alive)
        ]

    # -- cost ----------------------------------------------------------------------------------------------------
    def cost(self, test: int, opened: int) -> float:
        """Minutes of a test when the places in `opened` (bits) are open already."""
        missing = self.opens[test] & ~opened
        known = self._costs.get((test, missing))
        if known is None:
            known = self._costs[test, missing] = self._cost(test, missing)
        return known

    def _cost(self, test: int, missing: int) -> float:
        total = self.minutes[test]
        while missing:
            bit = missing & -missing
            total += self._access[bit]
            missing ^= bit
        return total

    def opened(self, places: Sequence[str]) -> int:
        """Places as bits."""
        return sum(self._place_bit.get(place, 0) for place in dict.fromkeys(places))

    def entropy(self, alive: Alive) -> float:
        """How many bits are missing about the group at fault."""
        rows = list(alive)
        sums: Reals = np.asarray(np.bincount(self.label[rows], self.weight[rows]), dtype=np.float64)
        return _entropy(sums / sums.sum())


def _sum_entropy(shares: Reals, axes: tuple[int, ...]) -> Reals:
    logs = np.log2(np.where(shares > 0, shares, 1.0))
    return np.asarray(-(shares * logs).sum(axis=axes))


def _entropy(shares: Reals) -> float:
    kept = shares[shares > 0]
    return float(-(kept * np.log2(kept)).sum())
