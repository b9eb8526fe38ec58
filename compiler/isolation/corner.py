"""A corner of a network by itself: what stands for the rest of the vehicle."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from compiler.network.settle import Settled

_NOTHING_A = 1e-6
_LEAST_V = 0.5
_LEAST_SHARE = 0.02  # of what returns; less is not worth a resistance of its own


def rest_of(settled: Settled, kept: Sequence[int]) -> list[tuple[int, int, float]]:
    """Resistances from where current leaves some branches for the rest of a network to where it comes back: two
    potentials and the ohm. What the rest draws then sags with the voltage, as its loads do."""
    network, solution = settled.network, settled.solution
    columns, branches = network.columns, np.asarray(kept, dtype=np.int64)
    currents = solution.currents[branches]
    size = network.size
    leaving = np.bincount(columns.b[branches], currents, size) - np.bincount(columns.a[branches], currents, size)
    grounded = network.always.metal
    back = {p: -float(leaving[p]) for p in np.flatnonzero(leaving < -_NOTHING_A).tolist() if p in grounded}
    total = sum(back.values())
    back = {p: amperes / total for p, amperes in back.items() if amperes > _LEAST_SHARE * total}
    whole = sum(back.values())
    found = []
    for potential in np.flatnonzero(leaving > _NOTHING_A).tolist():
        for metal, share in back.items() if potential not in grounded else ():
            volts = float(solution.volts[potential] - solution.volts[metal])
            if volts > _LEAST_V:
                found.append((potential, metal, volts * whole / (share * float(leaving[potential]))))
    return found
