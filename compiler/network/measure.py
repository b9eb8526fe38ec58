"""Everything a person asks to measure, as one value: volts at points, amperes through wires and fuses, ohms."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from compiler.model.items import Behaviour, Part, Point, Wire
from compiler.network.meter import Meter
from compiler.network.network import Network
from compiler.network.ohms import ohms
from compiler.network.places import Place, PlaceError, find_place, point_name
from compiler.network.settle import Settled
from compiler.network.world import Assumed


@dataclass(frozen=True, slots=True)
class PointReading:
    """Volts at one point against the reference; None: it floats."""

    name: str
    volts: float | None


@dataclass(frozen=True, slots=True)
class FlowReading:
    """Current through one branch.

    name      the branch in words
    amperes   from the first end to the second
    drop_v    volts across it; None where it floats or its contact is open
    ends      its two ends in words
    rating_a  of a fuse or breaker, else None
    is_open   a contact that is open, a diode that blocks, an output that is off
    """

    name: str
    amperes: float
    drop_v: float | None
    ends: tuple[str, str]
    rating_a: float | None
    is_open: bool

    @property
    def over(self) -> bool:
        """Whether a fuse carries more than its rating."""
        return self.rating_a is not None and abs(self.amperes) > self.rating_a


@dataclass(frozen=True, slots=True)
class Reading:
    """All that is read at one place that was asked for.

    touching  switches, relays and outputs that have a say there, each with how it stands
    """

    place: str
    points: tuple[PointReading, ...]
    flows: tuple[FlowReading, ...]
    touching: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class OhmReading:
    """Resistance between two places with the power off, ohm; infinite when open."""

    a: str
    b: str
    ohm: float


@dataclass(frozen=True, slots=True)
class Measured:
    """The answer to `measure`.

    energised  relays, starters and modules that are in
    sources    what each source gives, A
    fuses      fuses, breakers and links that carry current
    flashing   flasher units in the circuit of the readings or under current: how each stands, and the part of the
               time for which it is closed
    blown      fuses that opened, in that order
    assumed    values taken because the source gives none
    """

    settled: Settled
    readings: tuple[Reading, ...]
    ohms: tuple[OhmReading, ...]
    energised: tuple[str, ...]
    sources: tuple[tuple[str, float], ...]
    fuses: tuple[FlowReading, ...]
    flashing: tuple[tuple[str, str, float], ...]
    blown: tuple[str, ...]
    assumed: tuple[Assumed, ...]


def measure(
    network: Network, settled: Settled, at: Sequence[str] = (), between: Sequence[tuple[str, str]] = ()
) -> Measured:
    """Read the places in `at`, and the resistance between pairs of places. Raises PlaceError."""
    meter = Meter(settled)
    readings = tuple(_reading(meter, find_place(network, name)) for name in at)
    pairs = tuple(_ohms(network, settled, a, b) for a, b in between)
    rows = network.branches
    given: dict[str, float] = defaultdict(float)
    for number, row in enumerate(rows):
        if row.role is Behaviour.SOURCE:
            given[network.place(number)] -= meter.amperes(number)
    sources = tuple((name, amperes) for name, amperes in given.items() if abs(amperes) > _NOTHING)
    fuses = tuple(
        flow(meter, n)
        for n, row in enumerate(rows)
        if row.role is Behaviour.PROTECTION and abs(meter.amperes(n)) > _NOTHING
    )
    energised = tuple(d for d in network.moved if d in settled.energised)
    blown = tuple(network.place(branch) for branch in settled.blown)
    flashing = tuple(_flashing(meter, {name for reading in readings for name, _ in reading.touching}))
    return Measured(settled, readings, pairs, energised, sources, fuses, flashing, blown, tuple(network.world.assumed))


_NOTHING = 1e-6  # A; less is the solver's own noise


def _flashing(meter: Meter, touching: set[str]) -> Iterator[tuple[str, str, float]]:
    network = meter.network
    for device in network.variant.devices.values():
        if device.kind == "flasher":
            contact = network.branches_in(device.id)[0]
            if abs(meter.amperes(contact)) > _NOTHING or device.id in touching:
                duty = device.ratings.get("duty") or network.world.value("flasher", "duty")
                yield device.id, meter.settled.positions[device.id], duty


def _reading(meter: Meter, place: Place) -> Reading:
    network = meter.network
    points = [PointReading(point_name(network, point), meter.volts(point)) for point in place.points]
    nodes = [network.graph.index[point] for point in place.points]
    nodes += [node for branch in place.branches for node in network.branches[branch][:2]]
    positions = meter.settled.positions
    touching = tuple((subject, positions[subject]) for subject in network.routes.touching(nodes))
    return Reading(place.name, tuple(points), tuple(flow(meter, branch) for branch in place.branches), touching)


def flow(meter: Meter, branch: int) -> FlowReading:
    """The reading of one branch."""
    network = meter.network
    row = network.branches[branch]
    solution = meter.solution
    is_open = not (solution.problem.there[branch] and solution.conducting[branch])
    rating = None
    if row.role is Behaviour.PROTECTION and isinstance(row.owner, Part):
        rating = row.owner.ratings.get("current")
    ends = (_end(network, row.a, row.owner), _end(network, row.b, row.owner))
    return FlowReading(network.place(branch), meter.amperes(branch), meter.across(branch), ends, rating, bool(is_open))


def _end(network: Network, node: int, owner: object) -> str:
    if node >= len(network.graph.points):
        return "inside"
    point: Point = network.graph.points[node]
    return point_name(network, point) if isinstance(owner, Wire) else str(point)


def _ohms(network: Network, settled: Settled, a: str, b: str) -> OhmReading:
    ends = []
    for name in (a, b):
        place = find_place(network, name)
        if not place.points:
            raise PlaceError(f"{name}: no probe reaches it")
        ends.append(place.points[0])
    value = ohms(network, ends[0], ends[1], settled.positions, settled.faults)
    return OhmReading(a, b, value)
