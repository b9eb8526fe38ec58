"""Which diodes conduct: each that does carries current forwards, each that does not is below its forward voltage."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from compiler.network.columns import Flags, Numbers, Reals
from compiler.network.islands import islands_of

if TYPE_CHECKING:
    from compiler.network.solve import Problem, Solution

_NOTHING_A = 1e-7  # less is no current: the solver's own noise, and what nobody measures
_SLACK_V = 1e-9  # voltages nearer than this are the same
_TOGETHER = 12  # rounds in which all diodes that are wrong change at once; after that the first of them alone


def settle_diodes(
    problem: Problem, guess: Flags | None = None, linear: Callable[[Problem, Flags], Solution] | None = None
) -> Solution:
    """The solution in which every diode is where its current and voltage say.

    All that are wrong change at once for a few rounds, then the first of them alone in each round: with resistance in
    every diode that is the least-index rule for linear complementarity problems with a P-matrix (K. G. Murty, 1974;
    from
    memory), which ends. `guess` is where to begin; without one, all conduct. `linear` solves for given branches.
    """
    from compiler.network.solve import solve_linear

    linear = linear or solve_linear
    diodes = np.flatnonzero(problem.there & problem.diode)
    on = problem.there.copy()
    if not len(diodes):
        return linear(problem, on)
    if guess is not None:
        known = min(len(guess), len(on))
        on[:known] &= guess[:known] | ~problem.diode[:known]
    a, b, forward = problem.a[diodes], problem.b[diodes], problem.volts[diodes]
    rounds, most = 0, _TOGETHER + 4 * len(diodes)
    while True:
        found = linear(problem, on.copy())
        conducts = on[diodes]
        currents = found.currents[diodes]
        across = found.potential[a] - found.potential[b]
        across[found.islands[a] != found.islands[b]] = np.nan  # parts that have nothing in common have no voltage there
        # A comparison with nan is false: what floats is settled by its own rule.
        over = across > forward + _SLACK_V
        wrong = np.where(conducts, currents < -_NOTHING_A, over)
        idle = np.where(conducts, np.abs(currents) <= _NOTHING_A, ~over)
        # One that blocks is settled, unless it leads from a part that has a voltage to one that has none.
        before, behind = found.potential[a], found.potential[b]
        if (idle & (conducts | (np.isnan(behind) & ~np.isnan(before)))).any():
            wrong[idle] = _feeding(problem, on, diodes[idle], found.potential) != conducts[idle]
        if not wrong.any() or rounds > most:
            return found
        if rounds < _TOGETHER:
            on[diodes[wrong]] = ~on[diodes[wrong]]
        else:
            first = diodes[np.flatnonzero(wrong)[0]]
            on[first] = not on[first]
        rounds += 1


def _feeding(problem: Problem, on: Flags, idle: Numbers, potential: Reals) -> Flags:
    """Which of the diodes without current count as conducting.

    One that leads from a live part to a part that nothing else ties to anything does, if no other offers that part
    more:
    a meter behind it finds the voltage of the part before it. One that leads from such a part does not. Between two
    live
    parts it stays as it is.
    """
    plain = on.copy()
    plain[idle] = False
    labels = islands_of(problem.a[plain], problem.b[plain], problem.size)
    live = np.zeros(int(labels.max(initial=-1)) + 1, np.bool_)
    live[labels[problem.b[plain & problem.source]]] = True
    if problem.reference >= 0:
        live[labels[problem.reference]] = True
    before, behind = labels[problem.a[idle]], labels[problem.b[idle]]
    feeding = on[idle] & live[before] & live[behind]
    # Without current the whole of such a part has one voltage.
    level = np.where(live[before], potential[problem.a[idle]], -np.inf)
    while (more := np.flatnonzero(live[before] & ~live[behind])).size:
        offers = np.nan_to_num(level[more] - problem.volts[idle[more]], nan=-np.inf)
        # Among equal offers the first, whatever the last bits of the two say.
        best = more[int(np.argmax(offers >= offers.max() - _SLACK_V))]
        feeding[best] = True
        live[behind[best]] = True
        level[before == behind[best]] = level[best] - problem.volts[idle[best]]
    return feeding
