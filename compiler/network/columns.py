"""The branches of a network as arrays, and which of them are there in a state."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from compiler.network.elements import Sort

if TYPE_CHECKING:
    from compiler.network.network import Network

Reals: TypeAlias = NDArray[np.float64]
Flags: TypeAlias = NDArray[np.bool_]
Numbers: TypeAlias = NDArray[np.int64]


class Columns:
    """Arrays over the branches of a network.

    a, b       potentials at the two ends
    ohm, cold  resistance with the power on and off, ohm
    volts      electromotive force or forward voltage
    source, diode, ideal
               which branches are sources, diodes, sources without resistance
    powered    which are there only under power
    fuses      branches of fuses and breakers with a rating, `opens_a` the current in A at which each is sure to open
    """

    def __init__(self, network: Network) -> None:
        rows = network.branches
        of = np.asarray(network.of, dtype=np.int64)
        count = len(rows)
        self.a: Numbers = of[np.fromiter((row.a for row in rows), np.int64, count)] if count else of[:0]
        self.b: Numbers = of[np.fromiter((row.b for row in rows), np.int64, count)] if count else of[:0]
        elements = [row.element for row in rows]
        self.ohm: Reals = np.fromiter((e.ohm for e in elements), np.float64, count)
        self.cold: Reals = np.fromiter((e.cold_ohm or e.ohm for e in elements), np.float64, count)
        self.volts: Reals = np.fromiter((e.volts for e in elements), np.float64, count)
        sort = np.fromiter((e.sort for e in elements), np.int64, count)
        self.source: Flags = sort == Sort.SOURCE
        self.diode: Flags = sort == Sort.DIODE
        self.ideal: Flags = self.source & (self.ohm == 0)
        self.powered: Flags = np.fromiter((e.powered for e in elements), np.bool_, count)
        limit = network.world.value("protection", "opens_at")
        self.fuses: Numbers = np.fromiter(network.ratings, np.int64, len(network.ratings))
        self.opens_a: Reals = limit * np.fromiter(network.ratings.values(), np.float64, len(network.ratings))
        self._conditional = [(n, rows[n].element.when) for n in network.conditional]
        self._always: Flags = np.ones(count, np.bool_)
        self._always[network.conditional] = False

    def present(self, positions: Mapping[str, str], *, power: bool = True) -> Flags:
        """Which branches are there with everything in `positions`; without power, sources and outputs are not."""
        found = self._always.copy()
        for number, when in self._conditional:
            found[number] = all(positions.get(c.subject, "") in c.positions for c in when)
        if not power:
            found &= ~self.powered
        return found
