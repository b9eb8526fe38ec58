"""A technician who knows nothing of the engine: answers tests from the solved network with one fault planted, with the
noise of a meter and readings that are wrong by nearly the whole tolerance."""

from __future__ import annotations

from math import inf
from random import Random

from compiler.isolation.bench import Bench
from compiler.isolation.case import Case
from compiler.isolation.search import Search
from compiler.isolation.types import Settings, Suspect, Test, TestKind
from compiler.model.items import Behaviour, Connector, Wire
from compiler.network.elements import ENERGISED
from compiler.network.faults import Fault, FaultSort
from compiler.network.meter import Meter
from compiler.network.network import Network
from compiler.network.ohms import ohms
from compiler.network.places import find_place
from compiler.network.settle import Settled, settle
from compiler.network.state import State

NEARLY = 0.95  # of a tolerance
OPEN_OHM = 1e6


class Technician:
    """Answers for one planted suspect. Fuses that opened when the complaint was seen stay open."""

    def __init__(self, bench: Bench, first: Settings, suspect: Suspect, random: Random) -> None:
        self.bench, self.network, self.suspect, self.random = bench, bench.network, suspect, random
        self.faults: tuple[Fault, ...] = (suspect.fault,)
        self._settled: dict[Settings, Settled] = {}
        settled = self.settled(first)
        self.blown = settled.blown
        for fuse in self.blown:
            opened = Fault(FaultSort.OPEN, self.network.place(fuse), 0.0, fuse)
            self.faults = (*self.faults, opened)
        self._settled = {first: settled}

    def settled(self, settings: Settings) -> Settled:
        if settings not in self._settled:
            self._settled[settings] = settle(self.network, State(dict(settings)), self.faults)
        return self._settled[settings]

    def _off(self, share: str, fixed: str, value: float) -> float:
        """An error of this reading, up to nearly its tolerance either way."""
        rules = self.bench.rules
        slack = (rules("tolerance", share) * abs(value) if share else 0.0) + rules("tolerance", fixed)
        return NEARLY * slack * self.random.choice((-1.0, 1.0, self.random.uniform(-1, 1)))

    def answer(self, test: Test) -> float:
        """The reading, as a number of the test's unit."""
        match test.kind:
            case TestKind.VOLTS:
                place = find_place(self.network, test.place)
                value = Meter(self.settled(test.settings)).volts(place.points[0]) or 0.0
                return value + self._off("volts_share", "volts", value)
            case TestKind.LOOK:
                return max(self._share(test) + self._off("", "share", 0.0), 0.0)
            case TestKind.CLICK:
                inside = self.settled(test.settings).positions[test.item] == ENERGISED
                sound = settle(self.network, State(dict(test.settings))).positions[test.item] == ENERGISED
                return float(inside == sound)
            case TestKind.FUSE:
                branch = self.network.branches_in(test.item)[0]
                own = self.suspect.fault.branch == branch and self.suspect.fault.sort is FaultSort.OPEN
                return float(not (own or branch in self.blown))
            case TestKind.OHMS:
                return self._to_ground(test)
            case TestKind.ACROSS if test.unit == "ohm":
                return self._across(test)
            case TestKind.TERMINAL:
                return self._terminal(test)
            case _:
                row = self.network.branches[self.suspect.fault.branch]
                inside = row.device == test.item and row.role is not Behaviour.STRUCTURE
                return float(not inside)

    def _share(self, test: Test) -> float:
        place = find_place(self.network, test.place)
        assert place.device is not None
        meter = Meter(self.settled(test.settings))
        loads = [x for x in meter.loads(place.device) if x.branch in place.branches]
        return max(x.share for x in loads if self.network.branches[x.branch].role is Behaviour.LOAD)

    def _to_ground(self, test: Test) -> float:
        pulled = [Fault(FaultSort.OPEN, "out", 0.0, fuse) for fuse in self._pulled(test)]
        pulled += _parted(self.network, test.id.partition(", ")[2].removesuffix(" parted"))
        place = find_place(self.network, test.place)
        assert self.network.reference is not None
        positions = self.settled(test.settings).positions
        faults = [*pulled, *self.faults]
        value = min(ohms(self.network, place.points[0], self.network.reference, positions, faults), OPEN_OHM)
        if value >= self.bench.rules("tolerance", "open_ohm"):
            return value
        return max(value + self._off("ohms_share", "ohms", value), 0.0)

    def _pulled(self, test: Test) -> list[int]:
        words = test.words.split(",")[1]
        return [n for n in self.network.ratings if f"{self.network.place(n)} " in f"{words} "]

    def _across(self, test: Test) -> float:
        name = test.id.removeprefix("across ")
        named = [n for n in range(len(self.network.branches)) if self.network.place(n) == name]
        if len(named) > 1:  # a starter's solenoid and its motor have one name: the terminals say which is meant
            ends = {n: self.network.branches[n].element for n in named}
            named = [n for n in named if f"terminals {ends[n].a} and {ends[n].b}." in test.words]
        (branch,) = named
        element = self.network.branches[branch].element
        own = self.suspect.fault.branch == branch
        value = (
            element.ohm if isinstance(self.network.branches[branch].owner, Wire) else element.cold_ohm or element.ohm
        )
        if own and self.suspect.fault.sort is FaultSort.OPEN:
            return OPEN_OHM
        if own and self.suspect.fault.sort is FaultSort.RESISTANCE:
            value += self.suspect.fault.ohm
        return max(value + self._off("ohms_share", "ohms", value), 0.0)

    def _terminal(self, test: Test) -> float:
        row = self.network.branches[self.suspect.fault.branch]
        if isinstance(row.owner, Connector):
            cavity = f"{row.owner.id}.{self.network.graph.points[row.a].terminal}"
            if cavity == test.place:
                return 2.0 + 2 * self.suspect.half + (self.suspect.fault.sort is FaultSort.RESISTANCE)
        return 1.0


def _parted(network: Network, connector: str) -> list[Fault]:
    found = network.variant.connectors.get(connector)
    return [Fault(FaultSort.OPEN, "parted", 0.0, n) for n in network.branches_of(found)] if found else []


def isolate(bench: Bench, case: Case, number: int, random: Random) -> tuple[Search, list[Test], float]:
    """A whole search for one planted suspect: the search at its end, the tests done, the minutes they took.

    Half of the answers are given as a reading, half by choosing the outcome that the reading lies in.
    """
    technician = Technician(bench, case.settings, case.suspects[number], random)
    search = Search.begin(bench, case.complaint)
    done: list[Test] = []
    minutes = 0.0
    while (choice := search.next) is not None:
        reading = technician.answer(choice.test)
        fitting = [n for n, o in enumerate(choice.outcomes) if o.reading.low - 1e-9 <= reading <= o.reading.high + 1e-9]
        assert fitting, (choice.test.id, reading, [o.reading for o in choice.outcomes])
        search = search.answer(choice.test.id, fitting[0] if random.random() < 0.5 else reading)
        done.append(choice.test)
        minutes += choice.minutes
        assert number in search.alive, (case.suspects[number].says, choice.test.id, reading)
        assert len(done) < 100
    return search, done, minutes


def ends_right(case: Case, search: Search, number: int) -> bool:
    """Whether what is left at the end is one group with the planted suspect in it: its own, faults no test tells from
    it, or where the search says so faults whose readings overlap in a chain, in every test."""
    (group,) = search.groups
    if number not in {suspect.number for suspect in group.suspects}:
        return False
    if group.chained:
        return all(_one_chain(list(zip(e.low, e.high, strict=True)), search.alive) for e in case.entries)
    label = case.board.label
    return all(label[n] == label[number] or not case.board.apart[n, number] for n in search.alive)


def _one_chain(intervals: list[tuple[float, float]], alive: tuple[int, ...]) -> bool:
    """Whether the intervals of some suspects overlap, one with the next."""
    reach = -inf
    for low, high in sorted(intervals[n] for n in alive):
        if low > reach > -inf:
            return False
        reach = max(reach, high)
    return True
