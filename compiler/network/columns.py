"""The branches of a network as arrays, and which of them are there in a state."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from copy import copy
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

    def limited(self, kept: Collection[int], rest: Sequence[tuple[int, int, float]]) -> Columns:
        """The same columns with only some branches ever present, and resistances at the end that stand for the rest.

        These are there only under power.
        """
        inside = np.zeros(len(self.ohm), np.bool_)
        inside[list(kept)] = True
        other = copy(self)
        count = len(rest)
        other.a = np.concatenate([self.a, np.asarray([a for a, _, _ in rest], dtype=np.int64)])
        other.b = np.concatenate([self.b, np.asarray([b for _, b, _ in rest], dtype=np.int64)])
        more = np.asarray([ohm for _, _, ohm in rest], dtype=np.float64)
        other.ohm, other.cold = (np.concatenate([column, more]) for column in (self.ohm, self.cold))
        other.volts = np.concatenate([self.volts, np.zeros(count)])
        none, all_ = np.zeros(count, np.bool_), np.ones(count, np.bool_)
        other.source, other.diode, other.ideal = (
            np.concatenate([column, none]) for column in (self.source, self.diode, self.ideal)
        )
        other.powered = np.concatenate([self.powered, all_])
        other._always = np.concatenate([self._always & inside, all_])
        other._conditional = [(n, when) for n, when in self._conditional if inside[n]]
        other.fuses, other.opens_a = self.fuses[inside[self.fuses]], self.opens_a[inside[self.fuses]]
        return other

    def present(self, positions: Mapping[str, str], *, power: bool = True) -> Flags:
        """Which branches are there with everything in `positions`; without power, sources and outputs are not."""
        found = self._always.copy()
        for number, when in self._conditional:
            found[number] = all(positions.get(c.subject, "") in c.positions for c in when)
        if not power:
            found &= ~self.powered
        return found
