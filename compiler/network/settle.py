"""Relays: from a state to the position of every relay, by going on until nothing moves. What does not settle is
told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING, NamedTuple

from compiler.network.elements import AT_REST as RESTING
from compiler.network.elements import ENERGISED
from compiler.network.state import AT_REST, State

if TYPE_CHECKING:
    from compiler.network.bases import Bases
    from compiler.network.columns import Flags
    from compiler.network.faults import Fault
    from compiler.network.near import Near
    from compiler.network.network import Network
    from compiler.network.solve import Solution

_MOST_STEPS = 200
_FEW = 16  # relays; their contacts are less work than another factorisation


class Chatter(NamedTuple):
    """Relays that never come to rest: each position makes the other."""

    relays: tuple[str, ...]


class Latch(NamedTuple):
    """Relays that stay in once they are in, although this state does not pull them in."""

    relays: tuple[str, ...]


class Race(NamedTuple):
    """Relays that move at once and hinder each other: which end is reached depends on which is the faster.

    relays  those that race; `first`, `second` two ends, each as the relays that are in
    """

    relays: tuple[str, ...]
    first: frozenset[str]
    second: frozenset[str]


Unrest = Chatter | Latch | Race


@dataclass(frozen=True, slots=True, eq=False)
class Settled:
    """A state with its relays settled, and the voltages and currents then.

    positions  of everything that can be set, relays as they ended
    faults     faults that were planted
    blown      branches of the fuses that opened, in that order, where fuses were not told to hold
    unrest     what did not settle or is not settled by the state alone; chattering relays are left at rest
    steps      how many times the network was solved
    """

    network: Network
    state: State
    positions: Mapping[str, str]
    faults: tuple[Fault, ...]
    solution: Solution
    blown: tuple[int, ...]
    unrest: tuple[Unrest, ...]
    steps: int

    @property
    def energised(self) -> frozenset[str]:
        """Relays (and starters, and modules) that are in."""
        return frozenset(d for d in self.network.moved if self.positions[d] == ENERGISED)


class Scene(NamedTuple):
    """What a state sets: positions, and devices that a coil moves: those that are free to move, and those held in."""

    base: Mapping[str, str]
    free: tuple[str, ...]
    moving: frozenset[str]
    held: frozenset[str]

    def positions(self, energised: frozenset[str]) -> dict[str, str]:
        """Positions of everything with exactly these free devices in."""
        return {**self.base, **{d: ENERGISED if d in energised else RESTING for d in self.free}}


def scene_of(network: Network, state: State) -> Scene:
    """The scene of a state."""
    free = tuple(d for d in network.moved if d not in state.set)
    held = frozenset(d for d in network.moved if state.set.get(d) == ENERGISED)
    return Scene(state.positions(network), free, frozenset(free), held)


class Settling:
    """One settling: a network, a state, faults, and solutions kept by which relays are in.

    bases  what is known of the sound network
    home   the relays that are in when it has settled: where few others are, that is near enough
    """

    def __init__(
        self,
        network: Network,
        state: State,
        faults: Sequence[Fault],
        *,
        fuses_hold: bool,
        guess: Flags | None = None,
        bases: Bases | None = None,
        home: frozenset[str] | None = None,
    ) -> None:
        from compiler.network.faults import planted

        self.network, self.state, self.bases, self.home = network, state, bases, home
        self.fuses_hold = fuses_hold
        self.blown: list[int] = []
        self.scene = scene_of(network, state) if bases is None else bases.scene(state)
        self.held = self.scene.held
        self.plant = planted(network, faults)
        self.steps = 0
        self._known: dict[frozenset[str], Solution] = {}
        self._guess = guess

    def solved(self, energised: frozenset[str]) -> Solution:
        """The network with exactly these relays in. A fuse far over its rating opens before any relay moves."""
        while (found := self._known.get(energised)) is None:
            found = self._solve(energised)
            if not self.fuses_hold and (fuse := self._opening(found)) is not None:
                self.blown.append(fuse)
                self.plant.more[fuse] = inf
                self._known.clear()
            else:
                self._known[energised] = found
        return found

    def _solve(self, energised: frozenset[str]) -> Solution:
        from compiler.network.solve import pose, solve

        near, there = self._nearest(energised)
        guess = self._guess if near is None else near.solution.conducting
        there = self.plant.force(there)
        problem = pose(self.network, there, ohm=self.plant.ohm(power=True), added=self.plant.added)
        found = solve(problem, guess, None if near is None else near.solve)
        self._guess = found.conducting
        self.steps += 1
        return found

    def _nearest(self, energised: frozenset[str]) -> tuple[Near | None, Flags]:
        """What is known of the sound network with these relays in, or nearly these; and the branches that are there."""
        home = self.home
        if home is None or energised in (home, self.scene.held) or len(energised ^ home) > _FEW:
            home = energised
        near = self.bases.at(self.state, home) if self.bases is not None else None
        if near is None or home != energised:
            return near, self.network.columns.present(self.scene.positions(energised))
        return near, near.solution.problem.there.copy()

    def _opening(self, solution: Solution) -> int | None:
        """The place of the fuse that carries most of what opens it, if any carries as much; among equals the first of
        the source."""
        columns = self.network.columns
        if not len(columns.fuses):
            return None
        shares = abs(solution.currents[columns.fuses]) / columns.opens_a
        most = int(shares.argmax())
        return int(columns.fuses[most]) if shares[most] >= 1.0 else None

    def wanted(self, energised: frozenset[str]) -> frozenset[str]:
        """Which relays would be in, going by what their coils get while these are in."""
        import numpy as np

        solution, columns, coils = self.solved(energised), self.network.columns, self.network.coils
        windings = columns.windings
        volts = np.abs(solution.potential[columns.a[windings]] - solution.potential[columns.b[windings]])
        volts *= columns.ohm[windings] / solution.problem.ohm[windings]  # what a bad joint inside takes is lost
        inside = np.fromiter((coil.device in energised for coil in coils), np.bool_, len(coils))
        moved = solution.problem.there[windings] & (volts >= np.where(inside, columns.drop_out_v, columns.pull_in_v))
        devices = {coils[n].device for n in np.flatnonzero(moved).tolist()}
        return self.held | (self.scene.moving & devices)

    def run(self, start: frozenset[str], before: Sequence[frozenset[str]] = ()) -> tuple[frozenset[str], list[Unrest]]:
        """Where the relays end from `start`, all that want to move moving at once; with what was noticed. `before` are
        those that were in on the way to the start."""
        unrest: list[Unrest] = []
        seen = [*before, start]
        now = start
        for _ in range(_MOST_STEPS):
            then = self.wanted(now)
            if then == now:
                return now, unrest
            if race := self._race(now, then):
                return race.first, [*unrest, race]
            if then in seen:
                break
            seen.append(then)
            now = then
        return self._restless(now)

    def latched(self, end: frozenset[str]) -> frozenset[str]:
        """Relays at rest in `end` that would stay in, had they been in."""
        could = (self.network.routes.tangled & self.scene.moving) | self._held_weakly(end)
        if could <= end:
            return frozenset()
        now = end | could
        for _ in range(_MOST_STEPS):
            then = self.wanted(now)
            if then == now:
                return now - end
            now = then
        return frozenset()

    def _held_weakly(self, end: frozenset[str]) -> frozenset[str]:
        """Relays at rest whose coil gets too little to pull in but enough to hold."""
        solution, columns = self.solved(end), self.network.columns
        found = set()
        for (device, *_), branch, drop_out in zip(
            self.network.coils, columns.windings.tolist(), columns.drop_out_v.tolist(), strict=True
        ):
            if device not in end and device in self.scene.moving and solution.problem.there[branch]:
                volts = abs(solution.potential[columns.a[branch]] - solution.potential[columns.b[branch]])
                if volts >= drop_out:
                    found.add(device)
        return frozenset(found)

    def _race(self, now: frozenset[str], then: frozenset[str]) -> Race | None:
        """Whether the relays that move from `now` to `then` hinder each other, so that their order decides the end."""
        moving = sorted((now ^ then) & self.network.routes.tangled)
        if len(moving) < 2:
            return None
        # One that would not move once the others have: it is in a race with them.
        racing = [d for d in moving if (d in self.wanted(then ^ {d})) != (d in then)]
        if not racing:
            return None
        ends = [self._one_by_one(now, order) for order in (racing, racing[::-1])]
        if None in ends or ends[0] == ends[1]:
            return None
        first, second = ends
        assert first is not None
        assert second is not None
        return Race(tuple(sorted(set(racing) | (first ^ second))), first, second)

    def _one_by_one(self, now: frozenset[str], order: Sequence[str]) -> frozenset[str] | None:
        """Where the relays end when one at a time moves, those of `order` first; None if they do not come to rest."""
        rank = {device: place for place, device in enumerate(order)}
        for _ in range(_MOST_STEPS):
            moving = now ^ self.wanted(now)
            if not moving:
                return now
            now ^= {min(moving, key=lambda d: (rank.get(d, len(rank)), d))}
        return None

    def _restless(self, now: frozenset[str]) -> tuple[frozenset[str], list[Unrest]]:
        """Relays that went round in a circle while moving at once: a race if one order comes to rest, else chatter."""
        moving: set[str] = set()
        seen: list[frozenset[str]] = []
        while now not in seen:
            seen.append(now)
            then = self.wanted(now)
            moving |= now ^ then
            now = then
        names = tuple(sorted(moving))
        ends = [end for order in (names, names[::-1]) if (end := self._one_by_one(now, order)) is not None]
        if ends:
            return ends[0], [Race(names, ends[0], ends[-1])]
        return now - moving, [Chatter(names)]


def settle(
    network: Network,
    state: State = AT_REST,
    faults: Sequence[Fault] = (),
    *,
    thorough: bool = False,
    fuses_hold: bool = False,
    guess: Flags | None = None,
    bases: Bases | None = None,
) -> Settled:
    """The network in a state, relays settled from rest.

    guess  which diodes may conduct, to begin with: those of a like state
    bases  what is known of the sound network, to reckon from
    fuses_hold  leave fuses whole whatever they carry; else one that carries twice its rating opens

    thorough    also ask whether relays would stay in that the state does not pull in
    Raises CircuitError when the network has no solution, FaultError for a fault that names nothing.
    """
    settling = Settling(network, state, faults, fuses_hold=fuses_hold, guess=guess, bases=bases)
    end, unrest = settling.run(settling.held)
    if thorough and not unrest and (kept := settling.latched(end)):
        unrest = [Latch(tuple(sorted(kept)))]
    solution = settling.solved(end)
    positions, blown = settling.scene.positions(end), tuple(network.columns.number[settling.blown].tolist())
    return Settled(network, state, positions, tuple(faults), solution, blown, tuple(unrest), settling.steps)
