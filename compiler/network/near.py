"""Solving a network that differs in a few branches from one that is solved: no new factorisation, only columns.

Every branch that differs is one scalar change of the inverse (J. Sherman and W. Morrison, 1950), taken one after the
other: first what is added, then what is taken out. Where a part comes to life, its tie is taken out; what hung on a
branch alone is cut off, and that branch stays in the matrix as its tie (`frame`). Where too many figures would be lost,
the network is factorised as if nothing were known.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from compiler.network.columns import Flags, Numbers, Reals
from compiler.network.frame import Framed, Ties, flows, siemens_of
from compiler.network.islands import islands_of
from compiler.network.solve import Factors, Solution, amperes, solve_linear

if TYPE_CHECKING:
    from compiler.network.solve import Problem

_MOST = 32  # branches that differ; for more a factorisation is as cheap
_LOST = 1e-8  # of the terms of a pivot; where less is left of their difference, too many figures of it are gone
_BAD = 1e-5  # from here on a pivot spoils those that come after it


def lost(pivot: Reals, scale: Reals) -> Flags:
    """Whether pivots are too small to go by; `scale` is the size of what they are the difference of."""
    return np.asarray(pivot < _LOST * np.maximum(1.0, scale))


class TooFar(Exception):  # noqa: N818 - says what it is
    """The network has to be factorised."""


class _Change(NamedTuple):
    """Branches and ties that differ: number of the branch (a tie: -1), ends, siemens before and after, electromotive
    force."""

    rows: Numbers
    a: Numbers
    b: Numbers
    before: Reals
    after: Reals
    volts: Reals

    def at(self, places: Numbers) -> _Change:
        return _Change(
            self.rows[places],
            self.a[places],
            self.b[places],
            self.before[places],
            self.after[places],
            self.volts[places],
        )

    def without(self, ties: Ties) -> _Change:
        """With ties taken out as well."""
        none = np.zeros(len(ties.a))
        return _Change(
            np.concatenate([self.rows, np.full(len(ties.a), -1)]),
            np.concatenate([self.a, ties.a]),
            np.concatenate([self.b, ties.b]),
            np.concatenate([self.before, ties.siemens]),
            np.concatenate([self.after, none]),
            np.concatenate([self.volts, none]),
        )

    def in_order(self) -> _Change:
        """What is added, ties, what gets worse, what is taken out."""
        rank = np.where(self.after > 0, np.where(self.after > self.before, 0, 2), np.where(self.rows < 0, 1, 3))
        return self.at(np.argsort(rank, kind="stable"))


class Altered(Factors):
    """Factors of a network like one that is factorised: those, and a column and a weight for each change."""

    def __init__(self, factors: Factors, columns: Reals, mix: Reals, weights: Reals) -> None:
        super().__init__(None, factors.unknowns, factors.unknowns)
        self._factors, self._raw, self._mix, self._weights = factors, columns, mix, weights

    @cached_property
    def _columns(self) -> Reals:
        return np.asarray(self._raw @ self._mix)

    def solve(self, right: Reals) -> Reals:
        found, columns = self._factors.solve(right), self._columns
        share = columns.T @ right
        return np.asarray(found + columns @ (share.T * self._weights).T)


class Near:
    """What is needed of one solved network to solve others that are like it.

    solution  of a network without resistances that a fault put in
    """

    def __init__(self, framed: Framed, siemens: Reals | None = None, parts: int | None = None) -> None:
        self.solution, self._raw, self._ties = framed
        solution = self.solution
        self._siemens = siemens_of(solution.problem, solution.conducting) if siemens is None else siemens
        self._parts = int(solution.islands.max()) + 1 if parts is None else parts
        self._root = int(solution.islands[solution.problem.reference])

    @cached_property
    def _tie_of(self) -> dict[int, int]:
        """Part (its label) -> the tie on which it hangs, the part of the reference being the root."""
        islands = self.solution.islands
        around: dict[int, list[tuple[int, int]]] = {}
        ends = zip(islands[self._ties.a].tolist(), islands[self._ties.b].tolist(), strict=True)
        for number, (one, other) in enumerate(ends):
            around.setdefault(one, []).append((number, other))
            around.setdefault(other, []).append((number, one))
        found: dict[int, int] = {}
        queue = [self._root]
        for part in queue:  # grows while it runs
            for number, other in around.get(part, ()):
                if other != self._root and other not in found:
                    found[other] = number
                    queue.append(other)
        return found

    @cached_property
    def _apart(self) -> frozenset[int]:
        """Parts that have a voltage and do not hang together with the reference."""
        problem, islands = self.solution.problem, self.solution.islands
        return frozenset(islands[problem.b[problem.source & (self._siemens > 0)]].tolist()) - {self._root}

    def solve(self, problem: Problem, on: Flags) -> Solution:
        """As `solve_linear`. Raises CircuitError."""
        try:
            return self.like(problem, on).solution
        except TooFar:
            return solve_linear(problem, on)

    def like(self, problem: Problem, on: Flags) -> Near:
        """The solution for a like problem. Raises TooFar."""
        siemens = siemens_of(problem, on)
        own, count = len(self._siemens), len(siemens)
        rows = np.concatenate([np.flatnonzero(siemens[:own] != self._siemens), np.arange(own, count)])
        if len(rows) > _MOST:
            raise TooFar
        before = np.concatenate([self._siemens, np.zeros(count - own)])[rows]
        change = _Change(rows, problem.a[rows], problem.b[rows], before, siemens[rows], problem.volts[rows])
        if np.isnan(self.solution.volts[change.a[problem.source[rows]]]).any():
            raise TooFar  # a source in a part that does not hang together with the reference
        islands = self.solution.islands
        joins = np.flatnonzero(islands[change.a] != islands[change.b])
        merged, loose = self._joined(change.at(joins)) if len(joins) else ({}, [])
        if loose:
            change = change.without(self._ties.at(np.asarray(loose)))
        change = change.in_order()
        raw, factors, alone = self._moved(change)
        ties, parts = self._ties, self._parts
        if merged or alone:
            islands = self._islands(problem, siemens > 0, merged, change.rows[alone])
            parts += len(alone) - len(merged)
            left = ties.at(np.delete(np.arange(len(ties.a)), loose))
            ties = Ties(
                np.concatenate([left.a, change.a[alone]]),
                np.concatenate([left.b, change.b[alone]]),
                np.concatenate([left.siemens, change.before[alone]]),
            )
        potential, volts = self._read(problem, siemens > 0, raw, islands)
        currents = flows(problem, on, siemens, potential)
        solution = Solution(problem, volts, potential, currents, on, factors, self.solution.column, islands)
        return Near(Framed(solution, raw, ties), siemens, parts)

    def _joined(self, change: _Change) -> tuple[dict[int, int], list[int]]:
        """New branches between parts: which parts become one with which, and the ties that must go for it."""
        islands = self.solution.islands
        merged: dict[int, int] = {}
        loose: list[int] = []

        def top(part: int) -> int:
            while part in merged:
                part = merged[part]
            return part

        def tie_of(part: int) -> int:
            found = self._tie_of.get(part)
            if found is None:
                raise TooFar  # a place at which no branch ends
            return found

        def hangs_on(part: int, other: int) -> bool:
            while part != self._root:
                tie = tie_of(part)
                one = top(int(islands[self._ties.a[tie]]))
                part = one if one != part else top(int(islands[self._ties.b[tie]]))
                if part == other:
                    return True
            return False

        for a, b in zip(islands[change.a].tolist(), islands[change.b].tolist(), strict=True):
            one, other = top(a), top(b)
            if one == other:
                continue
            if hangs_on(one, other):
                one, other = other, one
            # The tie of `other` is on the way round; where that part has a voltage of its own, it has to stay.
            if other in self._apart and one != self._root:
                if one in self._apart or hangs_on(other, one):
                    raise TooFar
                one, other = other, one
            merged[other] = one
            loose.append(tie_of(other))
        return merged, loose

    def _islands(self, problem: Problem, there: Flags, merged: dict[int, int], alone: Numbers) -> Numbers:
        """What hangs together when some parts have become one, and others hung on one branch alone."""
        islands = self.solution.islands
        if len(alone):
            found = islands_of(problem.a[there], problem.b[there], problem.size)
            apart = (found[problem.a[alone]] != found[problem.b[alone]]).all()
            if not apart or int(found.max()) + 1 != self._parts - len(merged) + len(alone):
                raise TooFar
            return found
        to = np.arange(int(islands.max()) + 1)
        for part in merged:
            other = part
            while other in merged:
                other = merged[other]
            to[part] = other
        return np.asarray(to[islands])

    def _read(self, problem: Problem, there: Flags, raw: Reals, islands: Numbers) -> tuple[Reals, Reals]:
        """Potentials, nan where a part is dead, and volts against the reference."""
        if islands is self.solution.islands:
            dead, floats = np.isnan(self.solution.potential), np.isnan(self.solution.volts)
            return np.where(dead, np.nan, raw), np.where(floats, np.nan, raw)
        root = islands[problem.reference]
        ends = problem.b[problem.source & there]
        off = ends[islands[ends] != root]
        if not self._apart.issuperset(self.solution.islands[off].tolist()):
            raise TooFar  # a source was cut off
        live = np.zeros(problem.size, np.bool_)
        live[islands[ends]] = live[root] = True
        return np.where(live[islands], raw, np.nan), np.where(islands == root, raw, np.nan)

    def _moved(self, change: _Change) -> tuple[Reals, Factors, list[int]]:
        """Voltages and factors after changes, and those changes with which something seems to be cut off: left out."""
        raw, factors, column, count = self._raw, self.solution.factors, self.solution.column, len(change.rows)
        if not count:
            return raw, factors, []
        rows_a, rows_b, places = column[change.a], column[change.b], np.arange(count)
        columns = factors.solve(amperes(factors.unknowns, rows_a, rows_b))
        at_a = np.where((rows_a >= 0)[:, None], columns[rows_a], 0.0)
        at_b = np.where((rows_b >= 0)[:, None], columns[rows_b], 0.0)
        z = at_a - at_b  # of each change, the volts that a current through another makes across it
        less = change.before - change.after
        scale = np.maximum(1.0, np.abs(less) * (np.abs(at_a.diagonal()) + np.abs(at_b.diagonal())))
        across = raw[change.a] - raw[change.b] - change.volts
        share, weights, mix = np.zeros(count), np.zeros(count), np.eye(count)
        alone: list[int] = []
        kept = 1.0  # what one pivot has lost, those after it lack too
        for n in range(count):
            pivot = 1.0 - less[n] * z[n, n]
            if lost(pivot, scale[n] * max(1.0, _BAD / kept)):
                if change.after[n] > 0 or change.rows[n] < 0:
                    raise TooFar
                alone.append(n)
                continue
            kept *= min(1.0, pivot / scale[n])
            weights[n] = less[n] / pivot
            share += mix[:, n] * (weights[n] * across[n])
            across = across + z[:, n] * (weights[n] * across[n])
            mix = mix + mix[:, n : n + 1] * (weights[n] * np.where(places > n, z[n], 0.0))
            z = z + z[:, n : n + 1] * (weights[n] * z[n])
        raw = raw.copy()
        known = column >= 0
        moved = np.zeros(len(columns))
        for n in range(count):  # as a product of matrices it would be work for several cores
            moved += columns[:, n] * share[n]
        raw[known] += moved[column[known]]
        return raw, Altered(factors, columns, mix, weights), alone
