"""Modified nodal analysis: the voltages and currents of a network whose contacts stand where they stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu

from compiler.network.columns import Flags, Numbers, Reals
from compiler.network.diodes import settle_diodes
from compiler.network.islands import islands_of
from compiler.network.network import CannotSolve

if TYPE_CHECKING:
    from collections.abc import Callable

    from scipy.sparse.linalg import SuperLU

    from compiler.network.network import Network


_COLUMNS = 32  # solved at one time: of more the linear algebra makes work for several cores, and mostly waits for them


class CircuitError(CannotSolve):
    """A network that has no solution: sources without internal resistance that contradict each other."""


class Added(NamedTuple):
    """A resistance that a fault puts between two potentials, in ohm."""

    a: int
    b: int
    ohm: float


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """What is to be solved: branches that conduct, as arrays. Arrays run over the network's branches, then the
    added ones.

    there   which branches conduct at all (a diode that is there may still block)
    ohm     their resistance; a branch with infinite resistance is not there
    """

    network: Network
    a: Numbers
    b: Numbers
    there: Flags
    ohm: Reals
    volts: Reals
    source: Flags
    diode: Flags
    size: int
    reference: int


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """Voltages and currents.

    volts       by potential, in V against the reference; nan where nothing ties it to the reference
    potential   the same, where an island without a tie is given a reference of its own
    currents    by branch (added ones last), in A from `a` to `b`
    conducting  which diodes conduct; other branches as they were there
    factors     the factorised matrix, to be used again for faults
    column      potential -> column of the matrix, -1 where there is none
    islands     potential -> label of the part that hangs together
    """

    problem: Problem
    volts: Reals
    potential: Reals
    currents: Reals
    conducting: Flags
    factors: Factors
    column: Numbers
    islands: Numbers


class Factors:
    """A factorised matrix. Symmetric positive definite unless there are ideal sources."""

    def __init__(self, lu: SuperLU | None, unknowns: int, rows: int) -> None:
        self._lu = lu
        self.unknowns = unknowns
        self._rows = rows

    def solve(self, right: Reals) -> Reals:
        """Voltages for injected currents; columns are solved one by one. Rows beyond the nodes are sources'
        voltages."""
        if self._lu is None:
            return np.zeros_like(right)
        if right.shape[0] < self._rows:
            pad = [(0, self._rows - right.shape[0])] + [(0, 0)] * (right.ndim - 1)
            right = np.pad(right, pad)
        return solve_columns(self._lu, right)


def amperes(size: int, into: Numbers, out: Numbers) -> Reals:
    """Right-hand sides for a matrix of so many rows, a column for each pair: one ampere that enters at one row and
    leaves at the other. A row of -1 is the reference."""
    right, places = np.zeros((size, len(into)), order="F"), np.arange(len(into))
    for rows, sign in ((into, 1.0), (out, -1.0)):
        known = rows >= 0
        right[rows[known], places[known]] += sign
    return right


def solve_columns(lu: SuperLU, right: Reals) -> Reals:
    """What a factorised matrix makes of some columns, or of one."""
    if right.ndim == 1 or right.shape[1] <= _COLUMNS:
        return np.asarray(lu.solve(right), dtype=np.float64)
    found = np.empty(right.shape, order="F")
    for first in range(0, right.shape[1], _COLUMNS):
        found[:, first : first + _COLUMNS] = lu.solve(right[:, first : first + _COLUMNS])
    return found


def pose(
    network: Network,
    there: Flags,
    *,
    power: bool = True,
    ohm: Reals | None = None,
    added: Sequence[Added] = (),
) -> Problem:
    """The problem of a network with the branches in `there`; `ohm` overrides their resistances (infinite: open)."""
    columns = network.columns
    if ohm is None:
        ohm = columns.ohm if power else columns.cold
    there = there & np.isfinite(ohm)
    reference = -1 if network.reference is None else network.reference
    if not added:
        return Problem(
            network,
            columns.a,
            columns.b,
            there,
            ohm,
            columns.volts,
            columns.source,
            columns.diode,
            network.size,
            reference,
        )
    extra = np.asarray([(x.a, x.b) for x in added], dtype=np.int64).reshape(-1, 2)
    none = np.zeros(len(added), np.bool_)
    return Problem(
        network,
        np.concatenate([columns.a, extra[:, 0]]),
        np.concatenate([columns.b, extra[:, 1]]),
        np.concatenate([there, ~none]),
        np.concatenate([ohm, np.asarray([x.ohm for x in added], dtype=np.float64)]),
        np.concatenate([columns.volts, np.zeros(len(added))]),
        np.concatenate([columns.source, none]),
        np.concatenate([columns.diode, none]),
        network.size,
        reference,
    )


def solve(
    problem: Problem,
    conducting: Flags | None = None,
    linear: Callable[[Problem, Flags], Solution] | None = None,
) -> Solution:
    """Solve. `conducting` is a first guess of which diodes conduct (another solution's); `linear` solves for given
    branches, from what is known of a like network (`compiler.network.near`).

    Raises CircuitError when sources without internal resistance contradict each other.
    """
    return settle_diodes(problem, conducting, linear)


def solve_linear(problem: Problem, on: Flags, volts: Reals | None = None) -> Solution:
    """Solve with exactly the branches in `on`; `volts` are electromotive forces to use instead of the problem's.

    Raises CircuitError.
    """
    a, b, ohm = problem.a, problem.b, problem.ohm
    volts = problem.volts if volts is None else volts
    # A branch from a potential to itself carries only what its own source drives through it; it moves no voltage.
    linking = on & (a != b)
    ideal = linking & problem.source & (ohm == 0)
    plain = linking & ~ideal
    conductance = np.zeros(len(a))
    conductance[plain] = 1.0 / ohm[plain]
    islands = islands_of(a[linking], b[linking], problem.size)
    column, base = _columns(problem, islands, linking)
    # Current from a to b is (Va - Vb - volts) / ohm, for a source as for a diode that conducts.
    inject = conductance * volts
    unknowns = int(column.max(initial=-1)) + 1
    ideals = np.flatnonzero(ideal)
    right = np.zeros(unknowns + len(ideals))
    for ends, sign in ((a, 1.0), (b, -1.0)):
        rows = column[ends]
        kept = rows >= 0
        right[:unknowns] += np.bincount(rows[kept], sign * inject[kept], unknowns)
    right[unknowns:] = volts[ideals]
    factors = _factorise(problem, column, unknowns, np.flatnonzero(plain), conductance, ideals)
    raw = factors.solve(right)
    if not np.isfinite(raw).all():
        raise CircuitError("sources without internal resistance contradict each other")
    potential = np.full(problem.size, np.nan)
    potential[base] = 0.0
    known = column >= 0
    potential[known] = raw[column[known]]
    currents = np.zeros(len(a))
    across = potential[a[plain]] - potential[b[plain]]
    currents[plain] = across * conductance[plain] - inject[plain]
    if len(ideals):
        currents[ideals] = raw[unknowns:]
    within = on & (a == b) & problem.source & (ohm > 0)
    currents[within] = -volts[within] / ohm[within]
    np.nan_to_num(currents, copy=False)
    tied = islands == islands[problem.reference] if problem.reference >= 0 else np.zeros(problem.size, np.bool_)
    readings = np.where(tied, potential, np.nan)
    return Solution(problem, readings, potential, currents, on, factors, column, islands)


def _columns(problem: Problem, islands: Numbers, linking: Flags) -> tuple[Numbers, Numbers]:
    """Potential -> column of the matrix (-1: none), and the potentials taken as 0 V, one in each island with a
    source."""
    used = np.zeros(problem.size, np.bool_)
    used[problem.a[linking]] = True
    used[problem.b[linking]] = True
    minus = problem.b[np.flatnonzero(linking & problem.source)]
    # Of several sources in an island the first decides; the reference, where it is in the island, before any of them.
    first = np.full(problem.size, -1, np.int64)
    first[islands[minus[::-1]]] = minus[::-1]
    if problem.reference >= 0:
        first[islands[problem.reference]] = problem.reference
    base = first[first >= 0]
    live = used & (first[islands] >= 0)
    live[base] = False
    column = np.full(problem.size, -1, np.int64)
    column[live] = np.arange(int(live.sum()))
    return column, base


def _factorise(
    problem: Problem,
    column: Numbers,
    unknowns: int,
    plain: Numbers,
    conductance: Reals,
    ideals: Numbers,
) -> Factors:
    if not unknowns:
        return Factors(None, 0, len(ideals))
    rows_a, rows_b, g = column[problem.a[plain]], column[problem.b[plain]], conductance[plain]
    has_a, has_b = rows_a >= 0, rows_b >= 0
    both = has_a & has_b
    diagonal = np.bincount(rows_a[has_a], g[has_a], unknowns) + np.bincount(rows_b[has_b], g[has_b], unknowns)
    ordinals = np.arange(unknowns)
    rows = [ordinals, rows_a[both], rows_b[both]]
    others = [ordinals, rows_b[both], rows_a[both]]
    values = [diagonal, -g[both], -g[both]]
    for sign, ends in ((1.0, problem.a[ideals]), (-1.0, problem.b[ideals])):
        where = column[ends]
        kept = where >= 0
        extra = unknowns + np.flatnonzero(kept)
        rows += [where[kept], extra]
        others += [extra, where[kept]]
        values += [np.full(int(kept.sum()), sign)] * 2
    size = unknowns + len(ideals)
    matrix = coo_matrix(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(others))), shape=(size, size)
    ).tocsc()
    try:
        if len(ideals):
            lu = splu(matrix)
        else:
            lu = splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    except RuntimeError as error:  # what SuperLU says of a matrix that is exactly singular
        raise CircuitError("sources without internal resistance contradict each other") from error
    return Factors(lu, unknowns, size)
