"""Many faults, each alone, on one solution with the relays as they stand: what is read, and what would move."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from compiler.network.bridges import bridges
from compiler.network.columns import Flags, Numbers, Reals
from compiler.network.faults import Fault, planted
from compiler.network.islands import islands_of
from compiler.network.shifts import Change, Shifts

if TYPE_CHECKING:
    from compiler.network.network import Network
    from compiler.network.solve import Solution

_NOTHING_A = 1e-7


class Stage:
    """Faults by row.

    hard     rows that cannot be told from this solution: more than one branch changes, a coil, a diode, a source
             without resistance, or parts come together that both have a voltage
    single   the one change of each row that changes anything and is not hard
    shifts   the readings; `volts` those at the ends of coils, diodes and fuses
    """

    def __init__(self, network: Network, solution: Solution, faults: Sequence[Fault]) -> None:
        self.network, self.solution, self.faults = network, solution, faults
        problem = self._problem = solution.problem
        columns = network.columns
        self._diodes = np.flatnonzero(problem.there & problem.diode)
        self._windings = frozenset(columns.windings.tolist())
        ends = [(problem.a[rows], problem.b[rows]) for rows in (columns.windings, self._diodes, columns.fuses)]
        wanted = [end for pair in ends for end in pair]
        self._seen: Numbers = np.concatenate(wanted)
        bounds = np.cumsum([0, *(len(part) for part in wanted)]).tolist()
        self._coil_a, self._coil_b, self._diode_a, self._diode_b, self._fuse_a, self._fuse_b = (
            slice(first, last) for first, last in pairwise(bounds)
        )
        self.hard = np.zeros(len(faults), np.bool_)
        self.shifts = Shifts(solution, len(faults))
        self.single: list[Change] = []
        for row, fault in enumerate(faults):
            changes = self._changes(row, fault)
            if changes is None or len(changes) > 1:
                self.hard[row] = True
            else:
                self.single += changes
        self._spread()
        self.volts = self.shifts.at(self._seen)

    # -- from faults to changes ----------------------------------------------------------------------------------
    def _changes(self, row: int, fault: Fault) -> list[Change] | None:
        """The changes of a fault; None when it is none that this method can take."""
        plant = planted(self.network, [fault])
        problem, on = self._problem, self.solution.conducting
        found: list[Change] = []
        for branch in {*plant.more, *plant.instead, *plant.forced}:
            own = float(problem.ohm[branch])
            ohm = plant.instead.get(branch, own) + plant.more.get(branch, 0.0)
            if problem.diode[branch] or own == 0 or branch in self._windings:
                return None
            there = bool(on[branch]) or branch in plant.forced
            before, after = (1 / own if on[branch] else 0.0), (1 / ohm if there else 0.0)
            if before != after:
                ends = int(problem.a[branch]), int(problem.b[branch])
                found.append(Change(row, *ends, before, after, float(problem.volts[branch]), branch))
        found += [Change(row, a, b, 0.0, 1 / ohm, 0.0, -1) for a, b, ohm in plant.added]
        return [change for change in found if change.a != change.b]

    # -- from changes to voltages --------------------------------------------------------------------------------
    def _spread(self) -> None:
        inside: list[Change] = []
        for change in self.single:
            if self.solution.islands[change.a] != self.solution.islands[change.b]:
                self._joined(change)
            elif not np.isnan(self.solution.potential[change.a]):  # in a dead part nothing flows anyhow
                inside.append(change)
        for change in self.shifts.move(inside):
            if change.after == 0.0 and self._bridges[change.branch]:
                self.shifts.cut(change)
            else:
                self.hard[change.row] = True

    def _joined(self, change: Change) -> None:
        """A branch between two parts that did not hang together: a dead part takes the voltage of the other."""
        labels = self.solution.islands
        dead_a, dead_b = np.isnan(self.solution.potential[[change.a, change.b]])
        if dead_a == dead_b:
            if not dead_a:
                self.hard[change.row] = True
            return
        alive, dead = (change.b, change.a) if dead_a else (change.a, change.b)
        volts = self.solution.volts.copy()
        volts[labels == labels[dead]] = volts[alive]
        self.shifts.own(change.row, volts)

    @cached_property
    def _bridges(self) -> Flags:
        problem, on = self._problem, np.flatnonzero(self.solution.conducting)
        found = np.zeros(len(problem.a), np.bool_)
        found[on] = bridges(problem.a[on], problem.b[on], problem.size, max(problem.reference, 0))
        return found

    # -- what would move -----------------------------------------------------------------------------------------
    def blown(self) -> Numbers:
        """By row the branch of the fuse that opens, -1 where none does."""
        fuses, columns = self.network.columns.fuses, self.network.columns
        found = np.full(len(self.faults), -1, np.int64)
        if not len(fuses) or not self.single:
            return found
        rows = np.asarray([change.row for change in self.single], dtype=np.int64)
        across = np.abs(self.volts[rows, self._fuse_a] - self.volts[rows, self._fuse_b])
        siemens = np.tile(1.0 / self._problem.ohm[fuses], (len(rows), 1))
        place_of = {int(fuse): place for place, fuse in enumerate(fuses)}
        for row, change in enumerate(self.single):
            if change.branch in place_of:  # the fault is in the fuse itself
                siemens[row, place_of[change.branch]] = change.after
        shares = np.nan_to_num(across * siemens / columns.opens_a)
        most = shares.argmax(axis=1)
        over = shares[np.arange(len(rows)), most] >= 1.0
        found[rows[over]] = columns.number[fuses[most[over]]]
        return found

    def part_idle(self, left_out: Flags) -> None:
        """Diodes that a fault leaves without current no longer tie what lies before them: that part floats. Rows of
        which more would move become hard."""
        changes = [change for change in self.single if not left_out[change.row] and not self.hard[change.row]]
        if not changes or not len(self._diodes):
            return
        solution, problem = self.solution, self._problem
        carried = solution.currents[self._diodes] > _NOTHING_A
        rows = [change.row for change in changes]
        over = self.volts[rows, self._diode_a] - self.volts[rows, self._diode_b] - problem.volts[self._diodes]
        stopped = carried & (over / problem.ohm[self._diodes] <= _NOTHING_A) & ~np.isnan(over)
        known: dict[tuple[bytes, int], Flags] = {}
        for place in np.flatnonzero(stopped.any(axis=1)).tolist():
            change, idle = changes[place], self._diodes[stopped[place]]
            opened = change.branch if change.after == 0.0 else -1
            key = (idle.tobytes(), opened)
            if key not in known:
                left = solution.conducting.copy()
                left[idle] = False
                left[opened if opened >= 0 else idle] = False
                labels = islands_of(problem.a[left], problem.b[left], problem.size)
                known[key] = labels == labels[max(problem.reference, 0)]
            tied = known[key]
            if (tied[problem.a[idle]] & ~tied[problem.b[idle]]).any():
                self.hard[change.row] = True
            volts = self.shifts.line(change.row)
            volts[~tied] = np.nan
            self.shifts.own(change.row, volts)
            self.volts[change.row] = volts[self._seen]

    def turned(self) -> Flags:
        """Rows under which a diode that conducted would block, or the other way round."""
        first, second = self.volts[:, self._diode_a], self.volts[:, self._diode_b]
        on = self.solution.conducting[self._diodes]
        forward = self._problem.volts[self._diodes]
        over = first - second - forward
        slack = 1e-9 * np.maximum(1.0, np.abs(forward))
        # A blocking diode whose far side has just been cut off may now feed it.
        cut_off = ~np.isnan(first) & np.isnan(second)
        was_tied = ~np.isnan(self.solution.volts[self._problem.b[self._diodes]])
        wrong = np.where(on, over < -slack, (over > slack) | (cut_off & was_tied))
        return np.asarray(wrong.any(axis=1))

    def coils(self) -> tuple[Reals, Reals]:
        """Volts across every coil, by row and before; 0 where an end floats, or where it is not there."""
        windings, problem = self.network.columns.windings, self._problem
        share = np.where(problem.there[windings], self.network.columns.ohm[windings] / problem.ohm[windings], 0.0)
        before = self.solution.volts[self._seen]
        across = np.abs(self.volts[:, self._coil_a] - self.volts[:, self._coil_b])
        return np.nan_to_num(across) * share, np.nan_to_num(np.abs(before[self._coil_a] - before[self._coil_b])) * share
