"""The state a vehicle is in: positions of switches, what is forced, whether machines run."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product
from math import prod

from compiler.assembly.names import nearest
from compiler.model.items import Fact, NamedState
from compiler.model.variant import Variant
from compiler.network.network import CannotSolve, Network


class StateError(CannotSolve):
    """A setting that names nothing that can be set, or no position of it. The message says what there is."""


@dataclass(frozen=True, slots=True)
class State:
    """What has been set, by subject: a device, or `DEVICE.terminal` of a module output. Everything else is at rest.

    A relay that is set is held in that position, whatever its coil gets.
    """

    set: Mapping[str, str] = field(default_factory=dict)

    def positions(self, network: Network) -> dict[str, str]:
        """The position of everything that can be set, relays at rest unless set."""
        return {subject: self.set.get(subject, known[0]) for subject, known in network.positions.items()}


AT_REST = State()


def state_of(network: Network, settings: Iterable[tuple[str, str]]) -> State:
    """The state with these settings made, in order. Raises StateError."""
    made: dict[str, str] = {}
    for subject, position in settings:
        known = network.positions.get(subject)
        if known is None:
            near = nearest(subject, network.positions)
            hint = f"; did you mean {near}?" if near else ""
            raise StateError(f"{subject} is nothing that can be set{hint}")
        if position not in known:
            raise StateError(f"{subject} has no position {position}; it has {', '.join(known)}")
        made[subject] = position
    return State(made)


def find_state(variant: Variant, name: str) -> NamedState:
    """The state of the source that has a name. Raises StateError."""
    known = variant.states
    if name in known:
        return known[name]
    near = nearest(name, known)
    hint = f"did you mean {near}?" if near else f"there are: {', '.join(known)}" if known else f"{variant.id} has none"
    raise StateError(f"there is no state {name}; {hint}")


def settings_of(facts: Iterable[Fact]) -> list[tuple[str, str]]:
    """What a state, an expectation or a complaint sets, for `state_of`."""
    return [(fact.subject, fact.words[0]) for fact in facts]


def state_of_facts(network: Network, facts: Iterable[Fact]) -> State:
    """The state that a named state, an expectation or a complaint sets. Raises StateError."""
    return state_of(network, settings_of(facts))


def states_of(
    network: Network, subjects: Sequence[str], most: int, seeds: Iterable[Mapping[str, str]] = ()
) -> Iterator[State]:
    """States in which these subjects matter: all their settings where these are no more than `most`.

    Where they are more: everything at rest and each seed, and from each of these on every subject moved alone,
    `most` in
    all. Relays and whatever else a coil moves follow by themselves and are not set.
    """
    free = [subject for subject in subjects if subject not in network.moved]
    choices = [network.positions[subject] for subject in free]
    if prod(len(choice) for choice in choices) <= most:
        for picked in product(*choices):
            yield State(dict(zip(free, picked, strict=True)))
        return
    starts = [{}, *seeds]
    told: list[dict[str, str]] = []
    moves = [{}, *({s: p} for s, choice in zip(free, choices, strict=True) for p in choice[1:])]
    for start in starts:
        for move in moves:
            made = {**start, **move}
            if made not in told and len(told) < most:
                told.append(made)
                yield State(made)
