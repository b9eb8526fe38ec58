"""Which diodes conduct: each one that does carries current forwards, each one that does not is below its forward voltage."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from compiler.network.columns import Flags

if TYPE_CHECKING:
    from compiler.network.solve import Problem

# While diodes are looked at, every node leaks this much to the reference (S): a point between two blocking diodes then has a
# voltage, and a diode that feeds nothing but a meter conducts. The readings themselves are made without it.
_LEAK = 1e-10
_TOGETHER = 12  # rounds in which all diodes that are wrong change at once; after that the first of them alone


def settle_diodes(problem: Problem, guess: Flags | None = None) -> Flags:
    """The branches that are there, without the diodes that block.

    All that are wrong change at once for a few rounds, then the first of them alone in each round: with resistance in every
    diode that is the least-index rule for linear complementarity problems with a P-matrix (K. G. Murty, 1974; from memory),
    which ends. `guess` is where to begin; without one, all conduct.
    """
    from compiler.network.solve import solve_linear

    diodes = np.flatnonzero(problem.there & problem.diode)
    on = problem.there.copy()
    if not len(diodes):
        return on
    if guess is not None:
        known = min(len(guess), len(on))
        on[:known] &= guess[:known] | ~problem.diode[:known]
    a, b, forward = problem.a[diodes], problem.b[diodes], problem.volts[diodes]
    rounds = 0
    while True:
        found = solve_linear(problem, on, _LEAK)
        volts = np.nan_to_num(found.potential)
        conducts = on[diodes]
        wrong = np.where(conducts, found.currents[diodes] < 0, volts[a] - volts[b] > forward)
        if not wrong.any() or rounds > _TOGETHER + 4 * len(diodes):
            return on
        if rounds < _TOGETHER:
            on[diodes[wrong]] = ~on[diodes[wrong]]
        else:
            first = diodes[np.flatnonzero(wrong)[0]]
            on[first] = not on[first]
        rounds += 1
