"""What every single fault does to the voltages in one state, without solving the network anew for each.

A fault changes one branch, so the new voltages are the old ones and a multiple of one column of the inverse (J.
Sherman and W. Morrison, 1950; M. Woodbury, 1950). Columns come from the factors that the sound network left. A
branch on which a part of the network hangs alone is no such case: there the part behind it is cut off, and the rest
loses what it drew. Where a fault moves a relay or turns a diode, the state is settled anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from compiler.network.blocks import Blocks
from compiler.network.columns import Flags, Numbers, Reals
from compiler.network.faults import Fault, FaultSort, planted
from compiler.network.islands import islands_of
from compiler.network.settle import Settled, settle

_CHUNK = 256
_FEW = 40  # up to here it is cheaper to look at each open by itself
_WORTH_IT = 3  # faults behind one fuse or relay that make a table of their own worth its while
_NOTHING_A = 1e-7
_SURE = 1.3
_UNTOUCHED = 0.97
_WEAK = 1e-7  # below this share of what it was, too many figures of a pivot are gone


@dataclass(frozen=True, slots=True, eq=False)
class FaultTable:
    """Readings by fault.

    volts      faults by nodes, V against the reference; nan where a place floats
    energised  the relays that are in under each fault
    anew       which faults had to be settled anew from the sound state
    settled    how many settlings it took in all
    """

    faults: tuple[Fault, ...]
    nodes: tuple[int, ...]
    volts: Reals
    energised: tuple[frozenset[str], ...]
    anew: Flags
    settled: int


class _Change(NamedTuple):
    """One fault as a change: current in A that the branch carried, siemens and volts before, siemens after."""

    row: int
    a: int
    b: int
    before: float
    after: float
    volts: float
    branch: int


def fault_table(settled: Settled, faults: Sequence[Fault], nodes: Sequence[int]) -> FaultTable:
    """The voltages at some nodes under each fault alone, in the state of `settled`, on top of any faults planted there.

    Raises FaultError for a fault that names nothing.
    """
    return _Table(settled, faults, nodes).fill()


class _Table:
    def __init__(
        self, settled: Settled, faults: Sequence[Fault], nodes: Sequence[int], *, moved_already: bool = False
    ) -> None:
        self.moved_already = moved_already
        self.settled, self.faults, self.nodes = settled, tuple(faults), tuple(nodes)
        self.now = settled.energised
        network, self.solution = settled.network, settled.solution
        self.network = network
        problem = self.problem = self.solution.problem
        of = np.asarray(network.of)
        coils = np.asarray([coil.branch for coil in network.coils], dtype=np.int64)
        self.diodes = np.flatnonzero(problem.there & problem.diode)
        self.fuses = network.columns.fuses
        self.windings = frozenset(coils.tolist())
        # What has to be known of each fault: the readings, the ends of coils, diodes and fuses.
        wanted = [of[list(self.nodes)] if self.nodes else of[:0]]
        wanted += [ends[rows] for rows in (coils, self.diodes, self.fuses) for ends in (problem.a, problem.b)]
        self.seen: Numbers = np.concatenate(wanted)
        bounds = np.cumsum([0, *(len(part) for part in wanted)])
        self.parts = [slice(first, last) for first, last in pairwise(bounds.tolist())]
        self.labels = islands_of(problem.a[self.solution.conducting], problem.b[self.solution.conducting], problem.size)
        self.potential = self.solution.potential
        self.volts = np.tile(self.solution.volts[self.seen], (len(faults), 1))
        self.anew = np.zeros(len(faults), np.bool_)
        self.settled_anew = 0
        self._fed_at_a: set[int] = set()
        self._opened: dict[int, Settled] = {}

    def fill(self) -> FaultTable:
        single: list[_Change] = []
        for row, fault in enumerate(self.faults):
            changes = self._changes(row, fault)
            if changes is None or len(changes) > 1:
                self.anew[row] = True
            else:
                single += changes
        self._spread(single)
        energised = [self.now] * len(self.faults)
        blown = self._blow(single, energised)
        for change in single:
            if not blown[change.row]:
                self._part_idle(change)
        answered = blown | self.anew
        self.anew |= self._turned_diodes() & ~answered
        self._move_relays(np.flatnonzero(~self.anew & ~answered), energised)
        self.settled_anew += int(self.anew.sum())
        for row in np.flatnonzero(self.anew).tolist():
            together = [*self.settled.faults, self.faults[row]]
            again = settle(self.network, self.settled.state, together, guess=self.solution.conducting)
            self.volts[row] = again.solution.volts[self.seen]
            energised[row] = again.energised
        return FaultTable(
            self.faults, self.nodes, self.volts[:, self.parts[0]], tuple(energised), self.anew, self.settled_anew
        )

    # -- from faults to changes ----------------------------------------------------------------------------------
    def _changes(self, row: int, fault: Fault) -> list[_Change] | None:
        """The changes of a fault; None when it is none that this method can take."""
        plant = planted(self.network, [fault])
        problem, on = self.problem, self.solution.conducting
        found: list[_Change] = []
        for branch in {*plant.more, *plant.instead, *plant.forced}:
            own = float(problem.ohm[branch])
            ohm = plant.instead.get(branch, own) + plant.more.get(branch, 0.0)
            if problem.diode[branch] or own == 0 or branch in self.windings:
                return None
            there = bool(on[branch]) or branch in plant.forced
            before, after = (1 / own if on[branch] else 0.0), (1 / ohm if there else 0.0)
            if before != after:
                ends = int(problem.a[branch]), int(problem.b[branch])
                found.append(_Change(row, *ends, before, after, float(problem.volts[branch]), branch))
        found += [_Change(row, a, b, 0.0, 1 / ohm, 0.0, -1) for a, b, ohm in plant.added]
        return [change for change in found if change.a != change.b]

    # -- from changes to voltages --------------------------------------------------------------------------------
    def _spread(self, changes: list[_Change]) -> None:
        inner: list[_Change] = []
        opens: list[_Change] = []
        for change in changes:
            if self.labels[change.a] != self.labels[change.b]:
                self._joined(change)
            elif np.isnan(self.potential[change.a]):
                continue  # nothing flows in a dead part, whatever is done to it
            elif change.after == 0.0:
                opens.append(change)
            else:
                inner.append(change)
        behind = self._behind(opens)
        cuts = [change for change in opens if change.branch in behind]
        inner += [change for change in opens if change.branch not in behind]
        for first in range(0, len(inner), _CHUNK):
            self._inner(inner[first : first + _CHUNK])
        for first in range(0, len(cuts), _CHUNK):
            self._cut(cuts[first : first + _CHUNK], behind)

    def _joined(self, change: _Change) -> None:
        """A branch between two parts that did not hang together: a dead part takes the voltage of the other."""
        dead_a, dead_b = np.isnan(self.potential[[change.a, change.b]])
        if dead_a == dead_b:
            if not dead_a:
                self.anew[change.row] = True
            return
        alive, dead = (change.b, change.a) if dead_a else (change.a, change.b)
        part = self.labels[self.seen] == self.labels[dead]
        self.volts[change.row, part] = self.solution.volts[alive]

    def _inner(self, changes: list[_Change]) -> None:
        """Changes that cut nothing off: the Sherman-Morrison formula, many columns at once."""
        column, count = self.solution.column, len(changes)
        right = np.zeros((self.solution.factors.unknowns, count))
        for ends, sign in (([c.a for c in changes], 1.0), ([c.b for c in changes], -1.0)):
            rows = column[ends]
            kept = np.flatnonzero(rows >= 0)
            right[rows[kept], kept] += sign
        found = self.solution.factors.solve(right)
        ordinals = np.arange(count)
        z = self._rows(found, [c.a for c in changes])[ordinals, ordinals]
        z = z - self._rows(found, [c.b for c in changes])[ordinals, ordinals]
        before, after = np.asarray([c.before for c in changes]), np.asarray([c.after for c in changes])
        volts = np.asarray([c.volts for c in changes])
        across = self.potential[[c.a for c in changes]] - self.potential[[c.b for c in changes]]
        pivot = 1.0 + (after - before) * z
        rows_of = np.asarray([c.row for c in changes])
        weak = pivot < _WEAK
        self.anew[rows_of[weak]] = True
        share = np.where(weak, 0.0, (before - after) * (across - volts) / np.where(weak, 1.0, pivot))
        self.volts[rows_of] += (self._rows(found, self.seen) * share).T

    def _cut(self, changes: list[_Change], behind: dict[int, Numbers]) -> None:
        """Opens that cut a part off: it floats, and the rest no longer gives what it drew."""
        column, factors = self.solution.column, self.solution.factors
        flowing = [c for c in changes if abs(self._current(c)) > _NOTHING_A]
        right = np.zeros((factors.unknowns, len(flowing)))
        drawn = np.zeros(len(flowing))
        for place, change in enumerate(flowing):
            near = self._near_end(change)
            drawn[place] = self._current(change) * (1.0 if near == change.a else -1.0)
            if column[near] >= 0:
                right[column[near], place] = 1.0
        if flowing:
            found = factors.solve(right)
            self.volts[[c.row for c in flowing]] += (self._rows(found, self.seen) * drawn).T
        for change in changes:
            self.volts[change.row, behind[change.branch]] = np.nan

    def _current(self, change: _Change) -> float:
        return float(self.solution.currents[change.branch])

    def _near_end(self, change: _Change) -> int:
        """The end of a bridge on the reference's side."""
        return change.a if change.branch in self._fed_at_a else change.b

    def _rows(self, found: Reals, potentials: Sequence[int] | Numbers) -> Reals:
        """Rows of columns of the inverse for potentials; a reference's row is 0, a dead one's nan nowhere used."""
        rows = self.solution.column[potentials]
        return np.where((rows >= 0)[:, None], found[np.maximum(rows, 0)], 0.0)

    # -- bridges -------------------------------------------------------------------------------------------------
    def _behind(self, opens: list[_Change]) -> dict[int, Numbers]:
        """Branches on which a part hangs alone, among those opened -> which of the places seen are in that part."""
        if len(opens) < _FEW:
            return {c.branch: found for c in opens if (found := self._cut_off(c)) is not None}
        problem = self.problem
        numbers = np.flatnonzero(self.solution.conducting)
        root = max(problem.reference, 0)
        ends = list(zip(problem.a[numbers].tolist(), problem.b[numbers].tolist(), strict=True))
        blocks = Blocks(ends, problem.size, root)
        behind: dict[int, list[int]] = {int(numbers[e[0]]): [] for e in blocks.edges if len(e) == 1}
        depth = blocks.depth
        self._fed_at_a.update(n for n in behind if depth[int(problem.a[n])] < depth[int(problem.b[n])])
        chains: dict[int, list[int]] = {}
        for place, potential in enumerate(self.seen.tolist()):
            if potential not in chains:
                passed = [blocks.edges[block] for block in blocks.chain(potential)]
                chains[potential] = [int(numbers[edges[0]]) for edges in passed if len(edges) == 1]
            for branch in chains[potential]:
                behind[branch].append(place)
        return {branch: np.asarray(places, dtype=np.int64) for branch, places in behind.items()}

    def _cut_off(self, change: _Change) -> Numbers | None:
        """The places seen that hang on one branch alone; None when nothing does."""
        problem, left = self.problem, self.solution.conducting.copy()
        left[change.branch] = False
        labels = islands_of(problem.a[left], problem.b[left], problem.size)
        if labels[change.a] == labels[change.b]:
            return None
        tied = labels[max(problem.reference, 0)]
        if labels[change.a] == tied:
            self._fed_at_a.add(change.branch)
        return np.flatnonzero(labels[self.seen] == labels[change.b if labels[change.a] == tied else change.a])

    # -- fuses ---------------------------------------------------------------------------------------------------
    def _blow(self, changes: list[_Change], energised: list[frozenset[str]]) -> Flags:
        """Faults that open a fuse: answered from the state with that fuse open. Returns their rows."""
        *_, ends_a, ends_b = self.parts
        rows = np.asarray([change.row for change in changes], dtype=np.int64)
        blown = np.zeros(len(self.faults), np.bool_)
        if not len(self.fuses) or not len(rows):
            return blown
        across = np.abs(self.volts[np.ix_(rows, np.r_[ends_a])] - self.volts[np.ix_(rows, np.r_[ends_b])])
        siemens = np.tile(1.0 / self.problem.ohm[self.fuses], (len(rows), 1))
        place_of = {int(fuse): place for place, fuse in enumerate(self.fuses)}
        for row, change in enumerate(changes):
            if change.branch in place_of:  # the fault is in the fuse itself
                siemens[row, place_of[change.branch]] = change.after
        shares = np.nan_to_num(across * siemens / self.network.columns.opens_a)
        most = shares.argmax(axis=1)
        groups: dict[int, list[int]] = {}
        for place in np.flatnonzero(shares[np.arange(len(rows)), most] >= 1.0):
            groups.setdefault(int(self.fuses[most[place]]), []).append(int(rows[place]))
        for fuse, members in groups.items():
            blown[members] = True
            if len(members) < _WORTH_IT:
                self.anew[members] = True
                continue
            opened = None if self.moved_already else self._with_open(fuse)
            if opened is None or opened.unrest or opened.blown:
                self.anew[members] = True
            else:
                self._answer_from(opened, members, energised)
        return blown

    def _answer_from(self, base: Settled, rows: list[int], energised: list[frozenset[str]]) -> None:
        """Readings of some faults from another state of the relays and fuses."""
        table = _Table(base, [self.faults[row] for row in rows], self.nodes, moved_already=True).fill()
        for place, row in enumerate(rows):
            self.volts[row, self.parts[0]] = table.volts[place]
            energised[row] = table.energised[place]

    def _with_open(self, fuse: int) -> Settled:
        if fuse not in self._opened:
            place = self.network.branches[fuse].device
            self._opened[fuse] = settle(
                self.network, self.settled.state, [*self.settled.faults, Fault(FaultSort.OPEN, place)]
            )
        return self._opened[fuse]

    # -- what a fault moves --------------------------------------------------------------------------------------
    def _part_idle(self, change: _Change) -> None:
        """Diodes that a fault leaves without current no longer tie what lies before them: that part floats."""
        _, _, _, first, second, _, _ = self.parts
        on = self.solution.conducting
        carried = self.solution.currents[self.diodes] > _NOTHING_A
        over = self.volts[change.row, first] - self.volts[change.row, second] - self.problem.volts[self.diodes]
        stopped = carried & (over / self.problem.ohm[self.diodes] <= _NOTHING_A) & ~np.isnan(over)
        if not stopped.any() or self.anew[change.row]:
            return
        left = on.copy()
        left[self.diodes[stopped]] = False
        if change.branch >= 0 and change.after == 0.0:
            left[change.branch] = False
        labels = islands_of(self.problem.a[left], self.problem.b[left], self.problem.size)
        tied = labels == labels[max(self.problem.reference, 0)]
        idle = self.diodes[stopped]
        if (tied[self.problem.a[idle]] & ~tied[self.problem.b[idle]]).any():
            self.anew[change.row] = True
        self.volts[change.row, ~tied[self.seen]] = np.nan

    def _turned_diodes(self) -> Flags:
        """Faults under which a diode that conducted would block, or the other way round."""
        _, _, _, first, second, _, _ = self.parts
        on = self.solution.conducting[self.diodes]
        forward = self.problem.volts[self.diodes]
        over = self.volts[:, first] - self.volts[:, second] - forward
        slack = 1e-9 * np.maximum(1.0, np.abs(forward))
        # A blocking diode whose far side has just been cut off may now feed it.
        cut_off = ~np.isnan(self.volts[:, first]) & np.isnan(self.volts[:, second])
        was_tied = ~np.isnan(self.solution.volts[self.problem.b[self.diodes]])
        wrong = np.where(on, over < -slack, (over > slack) | (cut_off & was_tied))
        return np.asarray(wrong.any(axis=1))

    def _move_relays(self, rows: Numbers, energised: list[frozenset[str]]) -> None:
        """Faults that move relays: those that move the same ones are answered together, from the state with these
        moved."""
        groups: dict[frozenset[str], list[int]] = {}
        for row, wanted in zip(rows.tolist(), self._wanted(rows), strict=True):
            if wanted is None or (wanted != self.now and self.moved_already):
                self.anew[row] = True
            elif wanted != self.now:
                groups.setdefault(wanted, []).append(row)
        for wanted, members in groups.items():
            if len(members) < _WORTH_IT or (wanted ^ self.now) & self.network.routes.tangled:
                self.anew[members] = True
                continue
            self._answer_from(self.settled.with_relays(wanted), members, energised)

    def _as_before(self, pull: Flags, was: Flags) -> Flags:
        """Rows in which every device with one coil has it as before: nothing moves there."""
        network = self.network
        free = np.asarray([coil.device not in self.settled.state.set for coil in network.coils], dtype=np.bool_)
        alone = np.asarray([network.coil_count[coil.device] == 1 for coil in network.coils], dtype=np.bool_)
        return np.asarray(((pull == was) | ~free).all(axis=1) & bool((alone | ~free).all()))

    def _wanted(self, rows: Numbers) -> list[frozenset[str] | None]:
        """The relays that would be in under each fault; None where that depends on what was before."""
        network, now = self.network, self.now
        _, first, second, *_ = self.parts
        across = np.nan_to_num(np.abs(self.volts[rows, first] - self.volts[rows, second]))
        windings = np.asarray([coil.branch for coil in network.coils], dtype=np.int64)
        across *= network.columns.ohm[windings] / self.problem.ohm[windings]
        there = self.problem.there[windings]
        pull = (across >= [coil.pull_in_v for coil in network.coils]) & there
        # One that would hold, or barely pulls in while it is in, may not get there from rest.
        hold = (across >= [coil.drop_out_v for coil in network.coils]) & there
        was = np.asarray([coil.device in now for coil in network.coils], dtype=np.bool_)
        before = np.abs(self.solution.volts[self.seen[first]] - self.solution.volts[self.seen[second]])
        sure = np.minimum([_SURE * coil.pull_in_v for coil in network.coils], _UNTOUCHED * np.nan_to_num(before))
        pull &= ~was | (across >= sure)
        found: list[frozenset[str] | None] = []
        held_anyway = frozenset(d for d in now if d in self.settled.state.set)
        for same, pulls, holds in zip(self._as_before(pull, was), pull, hold, strict=True):
            if same:
                found.append(now)
                continue
            wanted = set(held_anyway)
            held = set()
            for coil, pulled, holding in zip(network.coils, pulls, holds, strict=True):
                if coil.device not in self.settled.state.set:
                    if pulled:
                        wanted.add(coil.device)
                    elif holding:
                        held.add(coil.device)
            found.append(None if held - wanted else frozenset(wanted))
        return found
