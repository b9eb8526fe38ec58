"""What every single fault does to the voltages in one state, without solving the network anew for each.

A fault changes one branch, so the new voltages are the old ones and a multiple of one column of the inverse (J.
Sherman and W. Morrison, 1950; M. Woodbury, 1950). Columns come from the factors that the sound network left
(`shifts`). A branch on which a part of the network hangs alone is no such case: there the part behind it is cut off,
and nothing else moves. Where a fault moves a relay or turns a diode, the state is settled anew, from solutions of like
networks (`near`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from compiler.network.bases import Bases
from compiler.network.columns import Flags, Numbers, Reals
from compiler.network.faults import Fault, FaultSort
from compiler.network.settle import Settled, settle
from compiler.network.shifts import Shifts
from compiler.network.stage import Stage
from compiler.network.together import Together

_WORTH_IT = 3  # faults behind one fuse that make a table of their own worth its while
_SURE = 1.3
_UNTOUCHED = 0.97


class _Part(NamedTuple):
    """What answers some rows: by row its own row there, -1 where it does not."""

    place: Numbers
    at: Callable[[Numbers, Numbers], Reals]


@dataclass(frozen=True, slots=True, eq=False)
class FaultTable:
    """Readings by fault.

    nodes      those of `volts`
    energised  the relays that are in under each fault
    anew       which faults had to be settled anew from the sound state
    settled    how many settlements it took in all
    size       how many numbers are kept
    """

    faults: tuple[Fault, ...]
    nodes: Numbers
    energised: tuple[frozenset[str], ...]
    anew: Flags
    settled: int
    size: int
    _shifts: Shifts
    _parts: tuple[_Part, ...]

    @property
    def volts(self) -> Reals:
        """Faults by nodes, V against the reference; nan where a place floats."""
        return self.at(np.asarray(self._shifts.solution.problem.network.of, dtype=np.int64)[self.nodes])

    def at(self, potentials: Numbers, rows: Numbers | None = None) -> Reals:
        """The same at some potentials (`Network.of` of nodes), of some faults."""
        rows = np.arange(len(self.faults)) if rows is None else rows
        spans = self._shifts.solution.problem.network.spans
        if spans is None:
            return self.raw(potentials, rows)
        share = spans.share[potentials]
        return self.raw(spans.a[potentials], rows) * (1 - share) + self.raw(spans.b[potentials], rows) * share

    def raw(self, potentials: Numbers, rows: Numbers) -> Reals:
        """The same at potentials that a limited network has."""
        found = self._shifts.at(potentials, rows)
        for place, at in self._parts:
            there = np.flatnonzero(place[rows] >= 0)
            if len(there):
                found[there] = at(potentials, place[rows[there]])
        return found


def fault_table(
    settled: Settled, faults: Sequence[Fault], nodes: Sequence[int] = (), bases: Bases | None = None
) -> FaultTable:
    """The voltages at some nodes under each fault alone, in the state of `settled`, on top of any faults planted there.

    `bases` is what is known of the same network, for several tables to share. Raises FaultError for a fault that names
    nothing.
    """
    return _Table(settled, faults, nodes, bases or Bases(settled.network)).fill()


class _Table:
    def __init__(
        self,
        settled: Settled,
        faults: Sequence[Fault],
        nodes: Sequence[int],
        bases: Bases,
        *,
        moved_already: bool = False,
    ) -> None:
        self.bases, self.moved_already = bases, moved_already
        self.settled, self.faults, self.nodes = settled, tuple(faults), np.asarray(nodes, dtype=np.int64)
        self.network, self.now = settled.network, settled.energised
        self.stage = Stage(self.network, settled.solution, self.faults)
        self.energised = [self.now] * len(self.faults)
        self.parts: list[_Part] = []
        self.settled_anew, self.size = 0, 0

    def fill(self) -> FaultTable:
        stage = self.stage
        blown = stage.blown()
        answered = self._answer_blown(blown)
        stage.part_idle(blown >= 0)
        anew = stage.hard | (blown >= 0) | stage.turned() | self._moves()
        anew &= ~answered
        self._settle(np.flatnonzero(anew))
        self.settled_anew += int(anew.sum())
        size = stage.shifts.size + self.size
        return FaultTable(
            self.faults,
            self.nodes,
            tuple(self.energised),
            anew,
            self.settled_anew,
            size,
            stage.shifts,
            tuple(self.parts),
        )

    # -- fuses ---------------------------------------------------------------------------------------------------
    def _answer_blown(self, blown: Numbers) -> Flags:
        """Faults that open a fuse: answered from the state with that fuse open. Returns their rows."""
        answered = np.zeros(len(self.faults), np.bool_)
        for fuse in dict.fromkeys(blown[blown >= 0].tolist()) if not self.moved_already else ():
            rows = np.flatnonzero(blown == fuse)
            if len(rows) < _WORTH_IT:
                continue
            opened = Fault(FaultSort.OPEN, self.network.place(fuse), 0.0, fuse)
            together = [*self.settled.faults, opened]
            base = settle(self.network, self.settled.state, together, bases=self.bases)
            if not base.unrest and not base.blown:
                answered[rows] = True
                self._answer_from(base, rows)
        return answered

    def _answer_from(self, base: Settled, rows: Numbers) -> None:
        """Readings of some faults from another state of the fuses."""
        faults = [self.faults[row] for row in rows]
        table = _Table(base, faults, (), self.bases, moved_already=True).fill()
        self.settled_anew += table.settled
        self._answered(rows, table.raw, table.size)
        for place, row in enumerate(rows.tolist()):
            self.energised[row] = table.energised[place]

    def _answered(self, rows: Numbers, at: Callable[[Numbers, Numbers], Reals], size: int) -> None:
        of = np.full(len(self.faults), -1, np.int64)
        of[rows] = np.arange(len(rows))
        self.parts.append(_Part(of, at))
        self.size += size

    # -- relays --------------------------------------------------------------------------------------------------
    def _moves(self) -> Flags:
        """Rows in which a relay might not be as it is without the fault."""
        columns, coils = self.network.columns, self.network.coils
        across, before = self.stage.coils()
        was = np.asarray([coil.device in self.now for coil in coils], dtype=np.bool_)
        free = np.asarray([coil.device not in self.settled.state.set for coil in coils], dtype=np.bool_)
        # One that barely pulls in while it is in may not get there from rest.
        sure = np.minimum(_SURE * columns.pull_in_v, _UNTOUCHED * before)
        pull = (across >= columns.pull_in_v) & (~was | (across >= sure))
        pull &= self.settled.solution.problem.there[columns.windings]
        if len(self.network.moved) < len(coils):  # a device with several coils is in when one of them pulls
            place = {device: n for n, device in enumerate(self.network.moved)}
            of = np.zeros((len(coils), len(place)), np.int64)
            of[np.arange(len(coils)), [place[coil.device] for coil in coils]] = 1
            pull = (pull @ of)[:, of.argmax(axis=1)] > 0
        return np.asarray(((pull != was) & free).any(axis=1))

    def _settle(self, rows: Numbers) -> None:
        """Faults under which the state has to be settled anew."""
        found = Together(self.settled, [self.faults[row] for row in rows], self.bases)
        for place, inside in found.energised.items():
            self.energised[rows[place]] = inside
        for place, volts in found.own.items():
            self.stage.shifts.own(int(rows[place]), volts)
        for places, shifts in found.answered:
            of = np.full(len(self.faults), -1, np.int64)
            of[rows] = places
            self.parts.append(_Part(of, shifts.at))
            self.size += shifts.size
