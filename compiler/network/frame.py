"""A network factorised in one state after another: the pattern of its matrix and the best order are found once.

Every place has a column, in all states. A part that hangs together with nothing that has a voltage is tied to the
reference: no current can run through a single tie, so it changes nothing, and such a part can come to life later
without a new pattern.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu

from compiler.network.columns import Flags, Numbers, Reals
from compiler.network.islands import islands_of
from compiler.network.solve import CircuitError, Factors, Solution

if TYPE_CHECKING:
    from scipy.sparse.linalg import SuperLU

    from compiler.network.network import Network
    from compiler.network.solve import Problem

_TIE_S = 1e-3


class Ties(NamedTuple):
    """Siemens between two potentials that are in the matrix and not in the network; on each hangs one part alone."""

    a: Numbers
    b: Numbers
    siemens: Reals

    def at(self, places: Numbers) -> Ties:
        return Ties(self.a[places], self.b[places], self.siemens[places])


class Framed(NamedTuple):
    """A solution whose matrix has ties in it; `raw` are its voltages, with those of dead parts, whatever they are."""

    solution: Solution
    raw: Reals
    ties: Ties


def siemens_of(problem: Problem, on: Flags) -> Reals:
    """Siemens by branch; 0 where it does not conduct, or begins and ends at one potential."""
    return np.divide(1.0, problem.ohm, out=np.zeros(len(on)), where=on & (problem.a != problem.b) & (problem.ohm > 0))


def flows(problem: Problem, on: Flags, siemens: Reals, potential: Reals) -> Reals:
    """Current by branch, A; none where there is no voltage."""
    found = siemens * (potential[problem.a] - potential[problem.b] - problem.volts)
    within = on & (problem.a == problem.b) & problem.source & (problem.ohm > 0)
    if within.any():
        found[within] = -problem.volts[within] / problem.ohm[within]
    found[np.isnan(found)] = 0.0
    return found


class Frame:
    """The pattern of one network without sources that have no resistance. Raises CircuitError for another."""

    def __init__(self, network: Network) -> None:
        columns = network.columns
        if network.reference is None or columns.ideal.any():
            raise CircuitError("no frame for a network with an ideal source or none at all")
        self.reference: int = network.reference
        linking = np.flatnonzero(columns.a != columns.b)
        self.used: Numbers = np.unique(np.concatenate([columns.a[linking], columns.b[linking], [self.reference]]))
        inside = self.used[self.used != self.reference]
        self._size = len(inside)
        self.column: Numbers = np.full(network.size, -1, np.int64)
        self.column[inside] = np.arange(self._size)
        if self._size:
            ones = np.ones(len(linking))
            matrix, _ = self._pattern(columns.a[linking], columns.b[linking], ones)
            order = _factorised(matrix, "MMD_AT_PLUS_A").perm_c
            self.column[inside] = order
        self._linking = linking
        self._matrix, self._slots = self._pattern(columns.a[linking], columns.b[linking], np.ones(len(linking)))

    def _pattern(self, a: Numbers, b: Numbers, ones: Reals) -> tuple[csc_matrix, tuple[Numbers, Numbers, Reals]]:
        """A matrix with a place for every branch, and these places: slot, which branch, sign."""
        size, number = self._size, np.arange(len(a))
        rows_a, rows_b = self.column[a], self.column[b]
        has_a, has_b = rows_a >= 0, rows_b >= 0
        both = has_a & has_b
        everything = np.arange(size)
        rows = np.concatenate([everything, rows_a[has_a], rows_b[has_b], rows_a[both], rows_b[both]])
        others = np.concatenate([everything, rows_a[has_a], rows_b[has_b], rows_b[both], rows_a[both]])
        whose = np.concatenate([number[has_a], number[has_b], number[both], number[both]])
        signs = np.concatenate([ones[has_a], ones[has_b], -ones[both], -ones[both]])
        keys, slots = np.unique(others * size + rows, return_inverse=True)
        slots = slots.reshape(-1)
        starts = np.searchsorted(keys, np.arange(size + 1) * size).astype(np.int32)
        data = np.bincount(slots, np.concatenate([np.ones(size), signs]), len(keys))
        matrix = csc_matrix((data, (keys % max(size, 1)).astype(np.int32), starts), shape=(size, size))
        self._diagonal = slots[:size]
        return matrix, (slots[size:], whose, signs)

    def solve(self, problem: Problem, on: Flags) -> Framed:
        """A problem without resistances that a fault put in, with exactly the branches in `on`."""
        siemens = siemens_of(problem, on)
        there = siemens > 0
        islands = islands_of(problem.a[there], problem.b[there], problem.size)
        source = there & problem.source
        # In each part a place that is at 0 V: of one with sources the end of the first, as `solve_linear` has it.
        first = np.full(problem.size, -1, np.int64)
        first[islands[self.used[::-1]]] = self.used[::-1]
        minus = problem.b[source]
        first[islands[minus[::-1]]] = minus[::-1]
        first[islands[self.reference]] = -1
        tied = first[first >= 0]
        slots, whose, signs = self._slots
        data: Reals = np.bincount(slots, signs * siemens[self._linking][whose], self._matrix.nnz).astype(np.float64)
        data[self._diagonal[self.column[tied]]] += _TIE_S
        right = np.zeros(self._size)
        inject = siemens * problem.volts
        driven = np.flatnonzero(inject)
        for ends, sign in ((problem.a, 1.0), (problem.b, -1.0)):
            rows = self.column[ends[driven]]
            np.add.at(right, rows[rows >= 0], sign * inject[driven][rows >= 0])
        lu = None
        if self._size:
            kept = data != 0
            starts = np.concatenate([[0], np.cumsum(kept)])[self._matrix.indptr].astype(np.int32)
            matrix = csc_matrix((data[kept], self._matrix.indices[kept], starts), shape=self._matrix.shape)
            lu = _factorised(matrix, "NATURAL")
        factors = Factors(lu, self._size, self._size)
        found = factors.solve(right)
        raw = np.full(problem.size, np.nan)
        raw[self.reference] = 0.0
        known = self.column >= 0
        raw[known] = found[self.column[known]]
        live = np.zeros(problem.size, np.bool_)
        live[islands[minus]] = live[islands[self.reference]] = True
        potential = np.where(live[islands], raw, np.nan)
        volts = np.where(islands == islands[self.reference], raw, np.nan)
        currents = flows(problem, on, siemens, potential)
        solution = Solution(problem, volts, potential, currents, on, factors, self.column, islands)
        return Framed(solution, raw, Ties(tied, np.full_like(tied, self.reference), np.full(len(tied), _TIE_S)))


def _factorised(matrix: csc_matrix, order: Literal["NATURAL", "MMD_AT_PLUS_A"]) -> SuperLU:
    # Column by column: these matrices have next to no dense blocks that would be worth a panel.
    return splu(matrix, permc_spec=order, diag_pivot_thresh=0.0, panel_size=1, options={"SymmetricMode": True})
