"""How well a variant can be tested: figures for its author, as data; checks make findings of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from compiler.isolation.search import Search
from compiler.isolation.types import Complaint, Group

if TYPE_CHECKING:
    from compiler.isolation.bench import Bench


class LargeGroup(NamedTuple):
    """A complaint that may end in a group of too many parts; `split_at` are points at which a probe would split it."""

    complaint: Complaint
    group: Group
    split_at: tuple[str, ...]


class FarPlace(NamedTuple):
    """A place that the search for some complaints may lead to and that needs long to get at."""

    place: str
    minutes: float
    complaints: tuple[str, ...]


class Figures(NamedTuple):
    """What some complaints come to."""

    groups: tuple[LargeGroup, ...]
    places: tuple[FarPlace, ...]


def testability(bench: Bench, complaints: tuple[Complaint, ...]) -> Figures:
    """The large groups and far places of some complaints, by the project's limits."""
    most, far = int(bench.rules("limits", "group")), bench.rules("limits", "access_min")
    groups: list[LargeGroup] = []
    places: dict[str, list[str]] = {}
    for complaint in complaints:
        search = Search.begin(bench, complaint)
        groups += [LargeGroup(complaint, g, _split_at(g)) for g in search.groups if len(g.parts) > most]
        needed = {place for entry in search.case.entries for place in entry.test.opens}
        for place in sorted(needed):
            if bench.access.minutes(place) > far:
                places.setdefault(place, []).append(complaint.id)
    found = tuple(FarPlace(place, bench.access.minutes(place), tuple(ids)) for place, ids in places.items())
    return Figures(tuple(groups), found)


def _split_at(group: Group) -> tuple[str, ...]:
    """Where a test point would split a group: the joints between its parts that no probe reaches."""
    return tuple(dict.fromkeys(s.item for s in group.suspects if s.kind.startswith("splice")))
