"""Readings of one solved network under many changes of one branch each, worked out for the places that are asked for.

Such a change moves all voltages by a multiple of one column of the inverse; faults with the same two ends share it. So
a fault is a column and a number, and a table of readings is never written out.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from compiler.network.columns import Numbers, Reals
from compiler.network.near import lost
from compiler.network.solve import amperes

if TYPE_CHECKING:
    from compiler.network.solve import Solution


class Change(NamedTuple):
    """One fault as a change of one branch: its row, ends, siemens before and after, electromotive force, and the branch
    (-1: one that the fault adds)."""

    row: int
    a: int
    b: int
    before: float
    after: float
    volts: float
    branch: int


class Shifts:
    """Readings by row (a fault). A row that was told nothing of reads what the network does.

    solution  of the network without the changes
    """

    def __init__(self, solution: Solution, count: int) -> None:
        self.solution = solution
        self.count = count
        self._pair = np.full(count, -1, np.int64)
        self._share = np.zeros(count)
        self._cut = np.zeros(count)
        self._columns: Reals = np.zeros((0, max(solution.factors.unknowns, 1)))
        self._own: dict[int, Reals] = {}
        self._lines: tuple[Numbers, Reals] | None = None

    @property
    def size(self) -> int:
        """How many numbers are kept."""
        return self._columns.size + len(self._own) * self.solution.problem.size

    def move(self, changes: Sequence[Change]) -> list[Change]:
        """Take in changes within parts that have a voltage. Those come back whose pivot is next to nothing, with which
        nothing is done yet."""
        if not changes:
            return []
        column, potential = self.solution.column, self.solution.potential
        pairs = {pair: n for n, pair in enumerate(dict.fromkeys((c.a, c.b) for c in changes))}
        of_pair = np.asarray([pairs[c.a, c.b] for c in changes])
        ends = np.asarray(list(pairs), dtype=np.int64)
        self._columns = self._solved(ends)
        known, at = column[ends] >= 0, np.arange(len(ends))
        at_a, at_b = (np.where(known[:, n], self._columns[at, column[ends[:, n]]], 0.0)[of_pair] for n in (0, 1))
        less = np.asarray([c.before - c.after for c in changes])
        volts = np.asarray([c.volts for c in changes])
        pivot = 1.0 - less * (at_a - at_b)
        weak = lost(pivot, np.abs(less) * (np.abs(at_a) + np.abs(at_b)))
        a, b = ends[of_pair].T
        share = np.where(weak, 0.0, less * (potential[a] - potential[b] - volts) / np.where(weak, 1.0, pivot))
        rows = np.asarray([c.row for c in changes])
        self._pair[rows], self._share[rows] = of_pair, share
        return [changes[n] for n in np.flatnonzero(weak).tolist()]

    def _solved(self, ends: Numbers) -> Reals:
        """For each pair of potentials the volts everywhere when one ampere enters at the first and leaves at the other:
        pairs by columns of the matrix."""
        column, factors = self.solution.column, self.solution.factors
        return np.ascontiguousarray(factors.solve(amperes(factors.unknowns, *column[ends].T)).T)

    def cut(self, change: Change) -> None:
        """An open on which a part hung alone: that part floats. No current ran through it, so nothing else moves."""
        self._cut[change.row] = change.before

    def own(self, row: int, volts: Reals) -> None:
        """A row with voltages of its own, by potential."""
        self._own[row], self._lines = volts, None

    def line(self, row: int) -> Reals:
        """The voltages of one row, by potential."""
        return np.asarray(self.at(np.arange(self.solution.problem.size), np.asarray([row]))[0])

    def at(self, potentials: Numbers, rows: Numbers | None = None) -> Reals:
        """Volts against the reference, rows by potentials; nan where a place floats."""
        rows = np.arange(self.count) if rows is None else rows
        column = self.solution.column[potentials]
        found = np.tile(self.solution.volts[potentials], (len(rows), 1))
        moved = np.flatnonzero(self._pair[rows] >= 0)
        if len(moved):
            picked = self._columns[self._pair[rows[moved]][:, None], np.maximum(column, 0)]
            picked[:, column < 0] = 0.0
            found[moved] += picked * self._share[rows[moved]][:, None]
            # One ampere through a branch on which a part hangs alone moves all there by what that branch takes.
            cut = self._cut[rows[moved]]
            if cut.any():
                behind = np.abs(picked) * cut[:, None] > 0.5
                found[moved] = np.where(behind, np.nan, found[moved])
        if self._own:
            own, lines = self._owned()
            place = np.full(self.count, -1, np.int64)
            place[own] = np.arange(len(own))
            there = np.flatnonzero(place[rows] >= 0)
            found[there] = lines[place[rows[there]]][:, potentials]
        return found

    def _owned(self) -> tuple[Numbers, Reals]:
        if self._lines is None:
            self._lines = np.asarray(list(self._own), dtype=np.int64), np.stack(list(self._own.values()))
        return self._lines
