"""What would be read under each of some faults: the columns that tests and observations are held against.

Every fault is planted alone, on top of `base` faults where two are looked for. A fuse that a short opened in the state
of the complaint stays open in every other state, as it does on a vehicle. A meter on a place that floats shows 0 V.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from compiler.isolation.types import Settings, Suspect
from compiler.model.items import Behaviour
from compiler.network.bases import Bases
from compiler.network.elements import AT_REST, ENERGISED, Condition
from compiler.network.fault_table import FaultTable, fault_table
from compiler.network.faults import Fault, FaultSort
from compiler.network.settle import Settled, settle
from compiler.network.state import State

if TYPE_CHECKING:
    from compiler.network.columns import Flags, Numbers, Reals
    from compiler.network.network import Network

_KEPT = 20_000_000  # numbers
_BLOWN_V = 1.0  # a whole fuse never drops as much


class _Part(NamedTuple):
    """Some rows, and the table and the rows of it that have their readings."""

    rows: Numbers
    table: FaultTable
    places: Numbers


class Found:
    """Readings by fault, from several tables; where two have the same fault, the later one counts.

    energised  the relays that are in, by fault
    """

    def __init__(self, parts: Sequence[_Part], energised: Sequence[frozenset[str]]) -> None:
        self.parts, self.energised = tuple(parts), tuple(energised)

    def at(self, potentials: Numbers) -> Reals:
        """Volts, faults by potentials; nan where a place floats."""
        found = np.zeros((len(self.energised), len(potentials)))
        for rows, table, places in self.parts:
            found[rows] = table.at(potentials, places)
        return found


class _Growing(NamedTuple):
    tables: list[FaultTable]
    place: dict[Fault, tuple[int, int]]

    @property
    def size(self) -> int:
        return sum(table.size for table in self.tables)


class Sound:
    """The settled network by settings and base faults, kept."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.bases = Bases(network)
        self._known: dict[tuple[Settings, tuple[Fault, ...]], Settled] = {}

    def __call__(self, settings: Settings, faults: tuple[Fault, ...] = ()) -> Settled:
        key = (settings, faults)
        if key not in self._known:
            self._known[key] = settle(self.network, State(dict(settings)), faults, bases=self.bases)
        return self._known[key]


class Ledger:
    """Fault tables by settings and base faults, growing fault by fault: what one complaint asked, another need not.

    Only the last states are kept, for a table is large.
    """

    def __init__(self, sound: Sound) -> None:
        self.sound = sound
        self._tables: dict[tuple[Settings, tuple[Fault, ...]], _Growing] = {}

    def table(self, settings: Settings, base: tuple[Fault, ...], faults: Sequence[Fault]) -> Found:
        """Readings under each of some faults."""
        key = (settings, base)
        growing = self._tables.pop(key, None) or _Growing([], {})
        self._tables[key] = growing
        fresh = [f for f in dict.fromkeys(faults) if f not in growing.place]
        if fresh:
            growing.place.update((fault, (len(growing.tables), n)) for n, fault in enumerate(fresh))
            growing.tables.append(fault_table(self.sound(settings, base), fresh, (), self.sound.bases))
        while len(self._tables) > 1 and sum(t.size for t in self._tables.values()) > _KEPT:
            del self._tables[next(iter(self._tables))]
        places = np.asarray([growing.place[f] for f in faults], dtype=np.int64).reshape(-1, 2)
        parts = []
        for number in np.unique(places[:, 0]).tolist():
            rows = np.flatnonzero(places[:, 0] == number)
            parts.append(_Part(rows, growing.tables[number], places[rows, 1]))
        return Found(parts, [growing.tables[number].energised[row] for number, row in places.tolist()])


class Rows:
    """Readings under each of `suspects`; arrays run over these.

    first   settings in which shorts did their work: the complaint's
    """

    def __init__(
        self, ledger: Ledger, suspects: Sequence[Suspect], first: Settings, base: tuple[Fault, ...] = ()
    ) -> None:
        self.ledger, self.sound, self.network = ledger, ledger.sound, ledger.sound.network
        self.suspects, self.first, self.base = tuple(suspects), first, base
        self.count = len(self.suspects)
        places: dict[tuple[FaultSort, int, float], int] = {}
        self._unique: list[Fault] = []
        back = []
        for suspect in self.suspects:
            key = (suspect.fault.sort, suspect.fault.branch, suspect.fault.ohm)
            if key not in places:
                places[key] = len(self._unique)
                self._unique.append(suspect.fault)
            back.append(places[key])
        self._back = np.asarray(back, dtype=np.int64)
        self._tables: dict[Settings, Found] = {}
        self._known: dict[Settings, dict[int, Reals]] = {}
        self.branch = np.asarray([s.fault.branch for s in self.suspects], dtype=np.int64)
        self.sort = np.asarray([list(FaultSort).index(s.fault.sort) for s in self.suspects], dtype=np.int64)
        self.ohm = np.asarray([s.fault.ohm for s in self.suspects], dtype=np.float64)

    # -- voltages ------------------------------------------------------------------------------------------------
    def table(self, settings: Settings) -> Found:
        """Readings under the distinct faults in some settings."""
        if settings not in self._tables:
            self._tables[settings] = self._computed(settings)
        return self._tables[settings]

    def _computed(self, settings: Settings) -> Found:
        found = self.ledger.table(settings, self.base, self._unique)
        if settings == self.first:
            return found
        groups: dict[int, list[int]] = {}
        for place, fuse in enumerate(self._opened.tolist()):
            if fuse >= 0:
                groups.setdefault(fuse, []).append(place)
        parts, energised = list(found.parts), list(found.energised)
        for fuse, members in groups.items():
            opened = Fault(FaultSort.OPEN, self.network.place(fuse), 0.0, fuse)
            part = self.ledger.table(settings, (*self.base, opened), [self._unique[m] for m in members])
            rows = np.asarray(members, dtype=np.int64)
            parts += [_Part(rows[own], table, places) for own, table, places in part.parts]
            for member, inside in zip(members, part.energised, strict=True):
                energised[member] = inside
        return Found(parts, energised)

    @cached_property
    def _opened(self) -> Numbers:
        """By distinct fault: branch of the fuse that it opens by overload in the first settings, else -1."""
        found = np.full(len(self._unique), -1, np.int64)
        columns = self.network.columns
        table = self.table(self.first)
        across = np.abs(
            np.nan_to_num(table.at(columns.a[columns.fuses])) - np.nan_to_num(table.at(columns.b[columns.fuses]))
        )
        for place, branch in enumerate(columns.number[columns.fuses].tolist()):
            for row in np.flatnonzero((across[:, place] > _BLOWN_V) & (found < 0)).tolist():
                if self._unique[row].branch != branch:
                    found[row] = branch
        return found

    @property
    def opened(self) -> Numbers:
        """By suspect: branch of the fuse that it opens by overload, else -1."""
        return self._opened[self._back]

    def volts(self, settings: Settings, node: int) -> Reals:
        """Volts at a node as a meter shows them."""
        return np.nan_to_num(self.raw(settings, node))

    def raw(self, settings: Settings, node: int) -> Reals:
        """Volts at a node; nan where it floats."""
        self.look_up(settings, (node,))
        return self._known[settings][self.network.of[node]]

    def look_up(self, settings: Settings, nodes: Iterable[int]) -> None:
        """Get the volts at some nodes ready: for many at once that is quicker."""
        known = self._known.setdefault(settings, {})
        fresh = list(dict.fromkeys(p for n in nodes if (p := self.network.of[n]) not in known))
        if fresh:
            found = self.table(settings).at(np.asarray(fresh, dtype=np.int64))[self._back]
            known.update(zip(fresh, np.ascontiguousarray(found.T), strict=True))

    # -- what is seen --------------------------------------------------------------------------------------------
    def energised(self, settings: Settings, device: str) -> Flags:
        """Whether a relay is in."""
        inside = np.asarray([device in found for found in self.table(settings).energised], dtype=np.bool_)
        return inside[self._back]

    def present(self, settings: Settings, conditions: Sequence[Condition]) -> Flags:
        """Whether conditions hold, relays standing as they do under each fault."""
        held = np.ones(self.count, np.bool_)
        fixed = dict(settings)
        for subject, positions in conditions:
            if subject in self.network.moved and subject not in fixed:
                inside = self.energised(settings, subject)
                held &= np.where(inside, ENERGISED in positions, AT_REST in positions)
            else:
                rest = self.network.positions[subject][0]
                held &= fixed.get(subject, rest) in positions
        return held

    def _ohm(self, settings: Settings, branch: int) -> Reals:
        """Resistance of a branch with its faults in it, ohm; infinite where it is open."""
        columns, problem = self.network.columns, self.sound(settings, self.base).solution.problem
        place = int(columns.index[branch])
        there = columns.number[place] == branch  # else in a row that is drawn together
        ohm = np.full(self.count, float(problem.ohm[place] if there else self.network.whole.columns.ohm[branch]))
        own = self.branch == branch
        ohm[own & np.isin(self.sort, [_sort(FaultSort.OPEN), _sort(FaultSort.STUCK_OPEN)])] = np.inf
        high = own & (self.sort == _sort(FaultSort.RESISTANCE))
        ohm[high] += self.ohm[high]
        return ohm

    def _across(self, settings: Settings, branch: int) -> Reals:
        """Volts across a branch without sign; 0 where an end floats."""
        row = self.network.branches[branch]
        return np.nan_to_num(np.abs(self.raw(settings, row.a) - self.raw(settings, row.b)))

    def share(self, settings: Settings, branch: int) -> Reals:
        """How much of its rated voltage a load gets; what a bad joint inside takes is lost to it."""
        element = self.network.branches[branch].element
        across = self._across(settings, branch) * element.ohm / self._ohm(settings, branch)
        across[~self.present(settings, element.when)] = 0.0
        return across / element.rated_v if element.rated_v else across * 0.0

    def amperes(self, settings: Settings, branch: int) -> Reals:
        """Current through a branch, A without sign."""
        closed = self.present(settings, self.network.branches[branch].element.when)
        closed |= (self.branch == branch) & (self.sort == _sort(FaultSort.STUCK_CLOSED))
        return np.where(closed, self._across(settings, branch) / self._ohm(settings, branch), 0.0)

    def fuse_open(self, fuse: int) -> Flags:
        """Whether a fuse is found open when it is pulled: it is the fault, or the fault opened it."""
        own = (self.branch == fuse) & (self.sort == _sort(FaultSort.OPEN))
        return np.asarray((self.opened == fuse) | own)


def _sort(sort: FaultSort) -> int:
    return list(FaultSort).index(sort)


def loads_in(network: Network, branches: Sequence[int]) -> list[int]:
    """Those branches among some that do work and can be seen to: loads, else coils."""
    rows = network.branches
    rated = [n for n in branches if rows[n].element.rated_v]
    return [n for n in rated if rows[n].role is Behaviour.LOAD] or [n for n in rated if rows[n].role is Behaviour.COIL]
