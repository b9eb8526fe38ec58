"""Regions: potentials that are neither fed nor grounded, and what hangs together among them.

An island holds together over contacts, fuses, diodes, module outputs and metal; a region is the islands that loads,
coils and resistors join.
"""

from __future__ import annotations

from collections.abc import Container, Iterable
from typing import NamedTuple

from compiler.circuit.potentials import Potentials
from compiler.model.items import Behaviour

SERIES = frozenset({Behaviour.LOAD, Behaviour.COIL, Behaviour.RESISTOR})
NEVER = frozenset({Behaviour.BLOCK, Behaviour.SOURCE})


class Border(NamedTuple):
    """The loads that lead out of a region: edges to what is fed, and edges to what is grounded."""

    to_feed: list[int]
    to_ground: list[int]


class Regions:
    """The regions of a set of potentials.

    island   potential -> number of its island, -1 for one that is fed or grounded
    region   island -> number of its region
    islands  island -> its potentials
    borders  region -> its border
    """

    def __init__(self, potentials: Potentials, fed: Container[int], grounded: Container[int]) -> None:
        self.potentials = potentials
        behaviours = potentials.graph.behaviours
        count = len(potentials.members)
        inside = [not (n in fed or n in grounded) for n in range(count)]
        self.island = [-1] * count
        self.islands: list[list[int]] = []
        crossings: list[list[int]] = []
        borders: list[Border] = []
        for start in range(count):
            if self.island[start] >= 0 or not inside[start]:
                continue
            number, own = len(self.islands), [start]
            self.island[start] = number
            across: list[int] = []
            border = Border([], [])
            for potential in own:  # grows while it runs
                for edge, other, _ in potentials.ways[potential]:
                    behaviour = behaviours[edge]
                    if behaviour in NEVER:
                        continue
                    if behaviour in SERIES:
                        if inside[other]:
                            across.append(other)
                            continue
                        if other in fed:
                            border.to_feed.append(edge)
                        if other in grounded:
                            border.to_ground.append(edge)
                    elif inside[other] and self.island[other] < 0:
                        self.island[other] = number
                        own.append(other)
            self.islands.append(own)
            crossings.append(across)
            borders.append(border)
        self.region = [-1] * len(self.islands)
        self.borders: list[Border] = []
        self._join(crossings, borders)

    def _join(self, crossings: list[list[int]], borders: list[Border]) -> None:
        for start in range(len(self.islands)):
            if self.region[start] >= 0:
                continue
            number, own = len(self.borders), [start]
            self.region[start] = number
            whole = Border([], [])
            for island in own:  # grows while it runs
                whole.to_feed.extend(borders[island].to_feed)
                whole.to_ground.extend(borders[island].to_ground)
                for potential in crossings[island]:
                    other = self.island[potential]
                    if self.region[other] < 0:
                        self.region[other] = number
                        own.append(other)
            self.borders.append(whole)

    def border_of(self, potential: int) -> Border:
        """The border of the region that a potential belongs to, which must be in one."""
        return self.borders[self.region[self.island[potential]]]


def entries(potentials: Potentials, own: Iterable[int]) -> list[int]:
    """The potentials of an island at which a feed may come in: those that no fuse of the island stands before.

    All of them where every one lies behind some fuse.
    """
    graph, inside = potentials.graph, dict.fromkeys(own)
    behind: dict[int, None] = {}
    for potential in inside:
        for edge, other, forward in potentials.ways[potential]:
            if forward and graph.behaviours[edge] is Behaviour.PROTECTION and other in inside and other != potential:
                behind[other] = None
    order = list(behind)
    for potential in order:  # grows while it runs
        for edge, other, forward in potentials.ways[potential]:
            behaviour = graph.behaviours[edge]
            if other in behind or other not in inside or behaviour in SERIES or behaviour in NEVER:
                continue
            if behaviour is not Behaviour.PROTECTION or forward:
                behind[other] = None
                order.append(other)
    return [potential for potential in inside if potential not in behind] or list(inside)
