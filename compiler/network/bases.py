"""The sound network in one state after another, solved once each: what faults make of it is reckoned from these."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, TypeAlias

from compiler.network.frame import Frame
from compiler.network.near import Near, TooFar
from compiler.network.settle import Scene, scene_of
from compiler.network.solve import CircuitError, pose, solve
from compiler.network.state import AT_REST, State

if TYPE_CHECKING:
    from compiler.network.columns import Flags
    from compiler.network.network import Network
    from compiler.network.solve import Problem, Solution

_KEPT = 600_000  # branches of all that is kept together
_LEAST, _MOST = 16, 128

_Relays: TypeAlias = "frozenset[str]"
_Set: TypeAlias = "tuple[tuple[str, str], ...]"


class Bases:
    """Solutions of one network without faults, all fuses whole, by what is set and which relays are in.

    The last ones are kept. What is found never depends on what is.
    """

    def __init__(self, network: Network) -> None:
        self.network = network
        self._most = min(max(_KEPT // max(len(network.branches), 1), _LEAST), _MOST)
        self._known: dict[tuple[_Set, _Relays], Near | None] = {}
        self._scenes: dict[_Set, Scene] = {}

    def at(self, state: State, energised: _Relays) -> Near | None:
        """The network in a state with exactly these relays in; None where it has no solution."""
        key = (_key(state), energised)
        if key in self._known:
            near = self._known.pop(key)
        else:
            near = self._solved(state, energised)
        self._known[key] = near
        while len(self._known) > self._most:
            del self._known[next(iter(self._known))]
        return near

    def scene(self, state: State) -> Scene:
        """What a state sets, kept."""
        key = _key(state)
        if key not in self._scenes:
            self._scenes[key] = scene_of(self.network, state)
        return self._scenes[key]

    def _solved(self, state: State, energised: _Relays) -> Near | None:
        network = self.network
        scene = self.scene(state)
        problem = pose(network, network.columns.present(scene.positions(energised)))
        like = self._like(state, energised)
        try:
            return self._settled(problem, None if like is None else like.solution.conducting)
        except CircuitError:
            return None

    def _like(self, state: State, energised: _Relays) -> Near | None:
        """A state in which most diodes are as in this one."""
        held = self.scene(state).held
        if energised != held:
            return self.at(state, held)
        return self.at(AT_REST, frozenset()) if state.set else None

    def _settled(self, problem: Problem, guess: Flags | None) -> Near:
        """A problem with its diodes settled, factorised as they end. Raises CircuitError."""
        steps = _Steps(self._frame)
        on = solve(problem, guess, steps.linear).conducting
        return steps.last if steps.factorised else Near(self._frame.solve(problem, on))

    @cached_property
    def _frame(self) -> Frame:
        return Frame(self.network)


class _Steps:
    """Solutions on the way: the first is factorised, the others are reckoned from it where that can be."""

    def __init__(self, frame: Frame) -> None:
        self._frame = frame
        self._first: Near | None = None
        self.last: Near
        self.factorised = False

    def linear(self, problem: Problem, on: Flags) -> Solution:
        try:
            if self._first is None:
                raise TooFar
            self.last, self.factorised = self._first.like(problem, on), False
        except TooFar:
            self.last, self.factorised = Near(self._frame.solve(problem, on)), True
            self._first = self._first or self.last
        return self.last.solution


def _key(state: State) -> _Set:
    return tuple(sorted(state.set.items()))
