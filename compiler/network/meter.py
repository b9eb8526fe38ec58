"""What a meter reads in a settled network: volts against ground and amperes."""

from __future__ import annotations

from math import isnan
from typing import TYPE_CHECKING, NamedTuple

from compiler.model.items import Device, Part, Point
from compiler.network.places import Place
from compiler.network.ways import WORK

if TYPE_CHECKING:
    from compiler.network.network import Network
    from compiler.network.settle import Settled


class LoadReading(NamedTuple):
    """A load at work: volts across it and amperes through it (signed, first terminal positive), volts it is rated
    for."""

    branch: int
    part: Part
    volts: float | None
    amperes: float
    rated_v: float

    @property
    def share(self) -> float:
        """Volts across it over the volts it is rated for, whichever way round; 0 when it floats."""
        return abs(self.volts or 0.0) / self.rated_v if self.rated_v else 0.0


class Meter:
    """Readings of one settled state. Volts are None where nothing ties the place to the reference: a meter reads
    nothing
    that means anything there."""

    def __init__(self, settled: Settled) -> None:
        self.settled = settled
        self.network: Network = settled.network
        self.solution = settled.solution

    def volts(self, point: Point) -> float | None:
        """Voltage at a point, V against the reference. None when it floats or is not in the circuit."""
        node = self.network.node(point)
        return None if node is None else self.volts_at(node)

    def volts_at(self, node: int) -> float | None:
        """Voltage at a node, V against the reference, or None when it floats."""
        value = float(self.solution.volts[self.network.of[node]])
        return None if isnan(value) else value

    def amperes(self, branch: int) -> float:
        """Current through a branch, A, positive from its first end to its second."""
        return float(self.solution.currents[branch])

    def across(self, branch: int) -> float | None:
        """Voltage across a branch, V, positive when its first end is; None when neither end is tied to anything
        live."""
        row = self.network.branches[branch]
        potential, of = self.solution.potential, self.network.of
        value = float(potential[of[row.a]] - potential[of[row.b]])
        return None if isnan(value) else value

    def loads(self, device: Device, part: Part | None = None) -> list[LoadReading]:
        """The loads and coils inside a device, or those of one part. A load whose contact is open has 0 A and no
        volts."""
        found = []
        there = self.solution.problem.there
        for number in self.network.branches_in(device.id):
            row = self.network.branches[number]
            if row.role in WORK and isinstance(row.owner, Part) and (part is None or row.owner is part):
                volts = self.across(number) if there[number] else None
                if volts is not None:  # what a bad joint inside takes is lost to the load
                    volts *= float(self.network.columns.ohm[number] / self.solution.problem.ohm[number])
                found.append(LoadReading(number, row.owner, volts, self.amperes(number), row.element.rated_v))
        return found

    def through(self, place: Place) -> float:
        """The largest current through any branch of a place, A without sign."""
        return max((abs(self.amperes(branch)) for branch in place.branches), default=0.0)

    def supply_v(self) -> float:
        """The open-circuit voltage of the strongest source that is there, V; the nominal voltage when there is none."""
        there = self.solution.problem.there
        columns = self.network.columns
        places = (columns.source & there[: len(columns.source)]).nonzero()[0]
        elements = [self.network.branches[n].element for n in columns.number[places].tolist()]
        volts = [element.rated_v or element.volts for element in elements]
        return max(volts, default=self.network.world.nominal_v)
