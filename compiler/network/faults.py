"""Faults to plant in a network: opens, high resistances, shorts, contacts that stick."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from enum import Enum
from math import inf
from typing import TYPE_CHECKING, NamedTuple

from compiler.model.items import Behaviour
from compiler.network.network import CannotSolve
from compiler.network.places import Place, PlaceError, find_place

if TYPE_CHECKING:
    from compiler.network.columns import Flags, Reals
    from compiler.network.network import Network
    from compiler.network.solve import Added

# What a short joins terminal to terminal; a short of anything else is to metal.
_ACROSS = frozenset({Behaviour.LOAD, Behaviour.COIL, Behaviour.CONTACT, Behaviour.RESISTOR, Behaviour.DIODE})


class FaultSort(Enum):
    """The kinds of fault, by the words of the language."""

    OPEN = "open"
    RESISTANCE = "high-resistance"
    SHORT = "short"
    TO_GROUND = "short-to-ground"
    STUCK_OPEN = "stuck-open"
    STUCK_CLOSED = "stuck-closed"


class Fault(NamedTuple):
    """One fault: what, where (a place as `find_place` reads it), and for a high resistance how many ohm are added.

    branch  the one branch of the network that is meant, where the place is only its name in words; else -1
    """

    sort: FaultSort
    place: str
    ohm: float = 0.0
    branch: int = -1

    def __str__(self) -> str:
        extra = f", {self.ohm:g} ohm" if self.sort is FaultSort.RESISTANCE else ""
        return f"{self.place} {self.sort.value}{extra}"


class FaultError(CannotSolve):
    """A fault at a place that does not exist or cannot have it. The message says which."""


@dataclass(slots=True)
class Plant:
    """Faults as changes to a network.

    more    ohm to add to a branch (infinite: open); all by their places in the columns
    instead ohm in place of a branch's own
    forced  branches that are there whatever the state
    added   resistances between potentials
    """

    network: Network
    more: dict[int, float] = field(default_factory=dict)
    instead: dict[int, float] = field(default_factory=dict)
    forced: set[int] = field(default_factory=set)
    added: list[Added] = field(default_factory=list)

    def places(self, branches: Iterable[int]) -> list[int]:
        """Where branches stand in the columns."""
        index = self.network.columns.index
        return [int(index[branch]) for branch in branches]

    def ohm(self, *, power: bool) -> Reals | None:
        """Resistances with the faults, or None when none of them changes any."""
        if not self.more and not self.instead:
            return None
        columns = self.network.columns
        ohm = (columns.ohm if power else columns.cold).copy()
        for branch, value in self.instead.items():
            ohm[branch] = value
        for branch, value in self.more.items():
            ohm[branch] += value
        return ohm

    def force(self, there: Flags) -> Flags:
        """Which branches are there, contacts that stick among them. Changes and returns its argument."""
        there[sorted(self.forced)] = True
        return there


def planted(network: Network, faults: Sequence[Fault]) -> Plant:
    """The changes that faults make. Raises FaultError."""
    plant = Plant(network)
    for fault in faults:
        try:
            place = find_place(network, fault.place) if fault.branch < 0 else _at_branch(network, fault)
        except PlaceError as error:
            raise FaultError(str(error)) from error
        _PLANTERS[fault.sort](plant, fault, place)
    return plant


def _at_branch(network: Network, fault: Fault) -> Place:
    row = network.branches[fault.branch]
    known = network.graph.points
    return Place(fault.place, tuple(known[n] for n in (row.a, row.b) if n < len(known)), (fault.branch,))


def _open(plant: Plant, fault: Fault, place: Place) -> None:
    for branch in plant.places(_branches(plant, fault, place)):
        plant.more[branch] = inf


def _resistance(plant: Plant, fault: Fault, place: Place) -> None:
    if not fault.ohm >= 0:
        raise FaultError(f"{fault.place}: {fault.ohm:g} ohm is no resistance")
    for branch in plant.places(_branches(plant, fault, place)):
        plant.more[branch] = plant.more.get(branch, 0.0) + fault.ohm


def _short(plant: Plant, fault: Fault, place: Place) -> None:
    network = plant.network
    across = [n for n in place.branches if network.branches[n].role in _ACROSS]
    if not across:
        _to_ground(plant, fault, place)
        return
    for branch in plant.places(across):
        plant.instead[branch] = network.world.ohm("short")
        plant.forced.add(branch)


def _to_ground(plant: Plant, fault: Fault, place: Place) -> None:
    from compiler.network.solve import Added

    network = plant.network
    metal = network.metal
    nodes = [node for point in place.points if (node := network.node(point)) is not None]
    if metal is None or not nodes:
        raise FaultError(f"{fault.place}: nothing there that can short to ground")
    plant.added.append(Added(network.of[nodes[0]], metal, network.world.ohm("short")))


def _stuck(plant: Plant, fault: Fault, place: Place) -> None:
    rows = plant.network.branches
    contacts = [n for n in place.branches if rows[n].role is Behaviour.CONTACT or n == fault.branch]
    if not contacts:
        raise FaultError(f"{fault.place} has no contact to stick")
    for branch in plant.places(contacts):
        if fault.sort is FaultSort.STUCK_OPEN:
            plant.more[branch] = inf
        else:
            plant.forced.add(branch)


def _branches(plant: Plant, fault: Fault, place: Place) -> tuple[int, ...]:
    if not place.branches:
        at = plant.network.variant.items.get(fault.place.rpartition(".")[0])
        hint = "; name the wire that ends there" if at is not None or place.points else ""
        raise FaultError(f"{fault.place}: no current runs through a bare point{hint}")
    return place.branches


_PLANTERS = {
    FaultSort.OPEN: _open,
    FaultSort.RESISTANCE: _resistance,
    FaultSort.SHORT: _short,
    FaultSort.TO_GROUND: _to_ground,
    FaultSort.STUCK_OPEN: _stuck,
    FaultSort.STUCK_CLOSED: _stuck,
}
