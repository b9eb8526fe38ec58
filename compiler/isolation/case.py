"""A complaint with everything that can explain it: suspects, the tests within reach, and what each would read."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from compiler.isolation.board import Board
from compiler.isolation.catalogue import Catalogue, Entry, healthy
from compiler.isolation.cold import short_tests
from compiler.isolation.policy import IsolationError, Rules
from compiler.isolation.related import Look, related_looks, worth_a_look
from compiler.isolation.rows import Rows
from compiler.isolation.seen import could_be, nodes_of
from compiler.isolation.suspects import suspects_of
from compiler.isolation.types import Complaint, Observation, Settings, Suspect
from compiler.network.faults import FaultSort
from compiler.network.places import find_place

if TYPE_CHECKING:
    from compiler.isolation.bench import Bench
    from compiler.network.columns import Flags
    from compiler.network.settle import Settled

_NOTHING_A = 1e-4


class Case:
    """One complaint on the bench.

    region      the branches that have a say, and those of suspects elsewhere
    everything  rows for every suspect of the region, shorts of the bare feed, and a sound vehicle last
    suspects    those that explain what the complaint says was seen
    """

    def __init__(self, bench: Bench, complaint: Complaint) -> None:
        self.bench, self.complaint = bench, complaint
        self.network, self.rules = bench.network, bench.rules
        self.settings: Settings = complaint.settings
        region = self._region()
        bare = [number for number in bench.regions.bare if number not in region]
        ledger = bench.ledger_of([*region, *bare])
        ohm_of = ohms_of(bench.rules, ledger.sound(self.settings), [*region, *bare])
        suspects = suspects_of(self.network, region, self.rules, ohm_of, bench.guards)
        shorts = (
            suspect
            for suspect in suspects_of(self.network, bare, self.rules, ohm_of, bench.guards)
            if suspect.fault.sort is FaultSort.TO_GROUND
        )
        suspects += tuple(s._replace(number=place) for place, s in enumerate(shorts, len(suspects)))
        if not suspects:
            raise IsolationError(f"{complaint.title}: nothing in the circuit can bring it about")
        nothing = healthy(suspects[0].fault.branch, len(suspects))
        self.everything = Rows(ledger, [*suspects, nothing], self.settings)
        kept = [suspects[n] for n in np.flatnonzero(self._explaining()[:-1]).tolist()]
        self.suspects: tuple[Suspect, ...] = tuple(s._replace(number=place) for place, s in enumerate(kept))
        self._nothing = nothing._replace(number=len(kept))
        self.region = tuple(sorted({*region, *(s.fault.branch for s in kept)}))

    @cached_property
    def looks(self) -> list[Look]:
        """Loads that may be worth a look."""
        return worth_a_look(self)

    @cached_property
    def rows(self) -> Rows:
        """Rows for the suspects, and a sound vehicle last."""
        return Rows(self.everything.ledger, [*self.suspects, self._nothing], self.settings)

    def _region(self) -> tuple[int, ...]:
        return self.bench.regions.region(self._starts())

    def _starts(self) -> list[int]:
        """Nodes that the complaint is about."""
        network, complaint = self.network, self.complaint
        starts = [node for o in complaint.observations for node in nodes_of(network, o.subject)]
        if complaint.within:
            place = find_place(network, complaint.within)
            starts += [node for point in place.points if (node := network.node(point)) is not None]
        return starts

    def _explaining(self) -> Flags:
        """Which suspects of the region explain the complaint."""
        rows, complaint = self.everything, self.complaint
        held = np.ones(rows.count, np.bool_)
        for observation in complaint.observations:
            held &= self.held(rows, observation)
        if complaint.within:
            inside = self._within(complaint.within)
            held &= np.isin(rows.branch, sorted(inside))
            if complaint.faults:
                sorts = [list(FaultSort).index(FaultSort(fault)) for fault in complaint.faults]
                held &= np.isin(rows.sort, sorts)
        return held

    def _within(self, name: str) -> set[int]:
        """Branches that a trouble code may mean: of a circuit its wires, the cavities and devices at their ends."""
        network = self.network
        place = find_place(network, name)
        nodes = {network.of[node] for p in place.points if (node := network.node(p)) is not None}
        found = set(place.branches)
        for number, row in enumerate(network.branches):
            at_end = network.of[row.a] in nodes or network.of[row.b] in nodes
            if at_end and (not row.device or row.element.rated_v or row.element.when):
                found.add(number)
        return found

    def agrees(self, observation: Observation) -> Flags:
        """Which suspects agree with something seen."""
        return self.held(self.rows, observation)[:-1]

    def held(self, rows: Rows, observation: Observation) -> Flags:
        """Which of some rows agree with something seen, wherever in the vehicle it was. Raises as `could_be`."""
        return could_be(rows, observation, self.rules)

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """Every test that tells any two suspects apart, related symptoms first."""
        network, rows = self.network, self.rows
        make = Catalogue(rows, self.settings, self.bench.access, self.rules)
        nodes = sorted({n for branch in self.region for n in (network.branches[branch].a, network.branches[branch].b)})
        relays = [
            d for d in network.moved if network.variant.devices[d].kind == "relay" and d not in dict(self.settings)
        ]
        near = {c.subject for n in self.region for c in network.branches[n].element.when}
        found = [
            *related_looks(self, make),
            *make.clicks(relay for relay in relays if relay in near),
            *make.fuses(fuse for fuse in self.region if fuse in network.ratings),
            *make.volts(nodes),
            *make.parts(),
            *short_tests(make),
        ]
        return tuple(entry for entry in found if _tells(entry))

    @cached_property
    def board(self) -> Board:
        """The tests as matrices."""
        return Board(self.suspects, self.entries, self.bench.access, self.rules)


def ohms_of(rules: Rules, settled: Settled, branches: Iterable[int]) -> dict[int, float]:
    """Branch -> the ohm of a high resistance there: what takes the declared share of the voltage in a state."""
    solution = settled.solution
    problem = solution.problem
    supply = float(problem.volts[problem.source & problem.there].max(initial=0.0))
    lost, idle = rules("resistance", "lost"), rules("resistance", "idle_ohm")
    index = settled.network.columns.index
    amperes = {n: abs(float(solution.currents[index[n]])) for n in branches}
    return {n: lost / (1 - lost) * supply / a if supply and a > _NOTHING_A else idle for n, a in amperes.items()}


def _tells(entry: Entry) -> bool:
    """Whether a test has two different answers among the suspects."""
    low, high = entry.low[:-1], entry.high[:-1]
    return len(low) > 1 and bool(low.max() > high.min())
