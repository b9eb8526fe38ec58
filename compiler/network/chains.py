"""A network with its plain rows of resistances drawn together: the same readings from far fewer nodes.

Wires, cavities and loads in a row, with nothing else at the places between them, are one resistance for all the rest,
and what is read between them is so far on from one end to the other. What has a contact, a source, a diode, a coil or a
fuse in it stays as it is, so that whatever can move still does.
"""

from __future__ import annotations

from itertools import accumulate
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from compiler.network.columns import Flags, Numbers, Reals

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from compiler.network.network import Network


class Rest(NamedTuple):
    """Resistances that stand for rows of branches: the potentials at their ends, ohm with the power on and off.

    kept   branches that are still there, rising
    place  branch -> its place among `kept` and, after these, the resistances; of one that is drawn together its row's
    """

    a: Numbers
    b: Numbers
    ohm: Reals
    cold: Reals
    kept: Numbers
    place: Numbers


class Spans(NamedTuple):
    """Of potentials that were numbered anew what they read: `share` of the way from `a` to `b`, themselves where they
    are still there.

    of     potential -> its new number: those that are still there come first
    size   how many are still there
    """

    of: Numbers
    size: int
    a: Numbers
    b: Numbers
    share: Reals


class Chains:
    """The rows of two or more plain resistances in a network."""

    def __init__(self, network: Network) -> None:
        columns = network.columns
        self._columns, self._size = columns, network.size
        linking = columns.a != columns.b
        ends = np.concatenate([columns.a[linking], columns.b[linking]])
        numbers = np.flatnonzero(columns.plain & linking)
        at = np.concatenate([columns.a[numbers], columns.b[numbers]])
        inner: Flags = (np.bincount(ends, minlength=self._size) == 2) & (np.bincount(at, minlength=self._size) == 2)
        inner[[node for node in (network.reference, network.metal) if node is not None]] = False
        order = np.argsort(at, kind="stable")
        order = order[inner[at[order]]]  # the two branches of an inner node stand side by side
        pairs = np.concatenate([numbers, numbers])[order].reshape(-1, 2)
        ways = dict(zip(at[order[::2]].tolist(), map(tuple, pairs.tolist()), strict=True))
        # Branches by row, one row after the other, each with the node behind it; and the ends of each row.
        rows = list(self._walked(ways))
        lengths = np.asarray([len(branches) for branches, _, _ in rows], dtype=np.int64)
        self._branches: Numbers = np.asarray([n for branches, _, _ in rows for n in branches], dtype=np.int64)
        self._behind: Numbers = np.asarray([n for _, nodes, _ in rows for n in nodes], dtype=np.int64)
        self._begin: Numbers = np.asarray([begin for _, _, begin in rows], dtype=np.int64)
        self._row: Numbers = np.repeat(np.arange(len(rows)), lengths)
        self._last: Numbers = np.cumsum(lengths) - 1
        so_far = [ohm for branches, _, _ in rows for ohm in accumulate(columns.ohm[branches].tolist())]
        self._ohm: Reals = np.asarray(so_far, dtype=np.float64)[self._last]
        self._cold: Reals = np.bincount(self._row, columns.cold[self._branches], len(rows)).astype(np.float64)
        self._share: Reals = np.asarray(so_far, dtype=np.float64) / self._ohm[self._row]
        self._of = np.full(len(columns.ohm), -1, np.int64)
        self._of[self._branches] = self._row

    def _walked(self, ways: dict[int, tuple[int, int]]) -> Iterator[tuple[list[int], list[int], int]]:
        """From one end of each row to the other: its branches, the node behind each, and the node before them. A ring
        without ends is none."""
        a, b = self._columns.a.tolist(), self._columns.b.tolist()
        done: set[int] = set()
        for start, pair in ways.items():
            for first in pair:
                begin = a[first] + b[first] - start
                if begin in ways or start in done:
                    continue
                branches, nodes, node = [first], [start], start
                while node in ways:
                    done.add(node)
                    one, other = ways[node]
                    branch = other if one == branches[-1] else one
                    node = a[branch] + b[branch] - node
                    branches.append(branch)
                    nodes.append(node)
                yield branches, nodes, begin

    def without(self, kept: Iterable[int]) -> tuple[Rest, Spans]:
        """What stands for the rows that hold none of `kept`, and what is read at the places in them."""
        count = len(self._begin)
        drawn = np.ones(count + 1, np.bool_)
        drawn[self._of[np.fromiter(kept, np.int64)]] = False  # the last stands for branches in no row
        drawn = drawn[:count]
        inside = drawn[self._row]
        left = np.ones(len(self._of), np.bool_)
        left[self._branches[inside]] = False
        index = np.cumsum(left) - 1
        index[self._branches[inside]] = index[-1] + np.cumsum(drawn)[self._row[inside]]
        between = inside.copy()
        between[self._last] = False
        at, row, end = self._behind[between], self._row[between], self._behind[self._last]
        there = np.ones(self._size, np.bool_)
        there[at] = False
        of = np.cumsum(there) - 1
        still = int(of[-1]) + 1
        of[at] = still + np.arange(len(at))
        everything = np.arange(self._size)
        a, b, share = everything.copy(), everything.copy(), np.zeros(self._size)
        a[still:], b[still:], share[still:] = of[self._begin[row]], of[end[row]], self._share[between]
        rows = np.flatnonzero(drawn)
        rest = Rest(
            of[self._begin[rows]],
            of[end[rows]],
            self._ohm[rows],
            self._cold[rows],
            np.flatnonzero(left),
            index,
        )
        return rest, Spans(of, still, a, b, share)
