"""A settled network as a sheet can show it: what is live, what a meter reads, how contacts stand, what works.

    reading = read_state(settle(network, state_of_facts(network, scenario.set)), scenario.title)
    figure = lit_sheet(figures["38"], reading)

A reading is plain data: what draws it knows nothing of networks.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from compiler.model.items import Behaviour, Device, Part, Point, Wire
from compiler.model.variant import Variant

if TYPE_CHECKING:
    from compiler.network.meter import LoadReading, Meter
    from compiler.network.settle import Settled

# Common practice (grade C): less than half a volt against ground is the loss of a ground path, not a supply; less than
# a milliampere is what a meter itself draws or what leaks.
LIVE_V = 0.5
FLOWS_A = 0.001

_WORDS = {"lamp": "lit", "led": "lit", "motor": "runs", "starter": "runs"}
_WORDS |= {"horn": "sounds", "buzzer": "sounds"}


class Life(Enum):
    """How a wire is in a state."""

    LIVE = "live"  # it has voltage against ground, whether current flows or not
    RETURN = "return"  # it carries current and is at ground
    DEAD = "dead"  # neither


@dataclass(frozen=True, slots=True)
class StateReading:
    """A state of a variant, read.

    title     what the state is called
    settings  what is set: `S1 run, S21 on`; empty when everything is at rest
    volts     point as drawings name it (`C40.7`, `SP101`) and half (`0` or `1` of an in-line connector, else empty)
              -> volts against ground; a point that floats is not there
    wires     wire id -> how it is
    closed    contacts that are closed, as drawings name parts (`K7:1`); also starters whose solenoid is in
    positions device id -> the position it is in, in words: switches, relays, modules
    moved     devices that are not in their position at rest
    parts     parts at work, as drawings name them -> their name and a word for it (`tell-tale lit`, `runs`)
    filaments parts with a load at each of their first terminals -> which of these work, in the order of the terminals
    blown     fuses that opened, as drawings name parts
    notes     what a reader must know besides: fuses that opened, relays that do not come to rest
    """

    title: str
    settings: str
    volts: Mapping[tuple[str, str], float]
    wires: Mapping[str, Life]
    closed: frozenset[str]
    positions: Mapping[str, str]
    moved: frozenset[str]
    parts: Mapping[str, str]
    filaments: Mapping[str, tuple[bool, ...]]
    blown: frozenset[str] = frozenset()
    notes: tuple[str, ...] = ()


def read_state(settled: Settled, title: str) -> StateReading:
    """Read everything that a sheet shows from a settled network."""
    from compiler.network.meter import Meter  # loaded by those who have a network

    return _Reader(Meter(settled)).read(title)


class _Reader:
    def __init__(self, meter: Meter) -> None:
        self.meter = meter
        self.settled = meter.settled
        self.network = meter.network
        self.variant: Variant = meter.network.variant
        self.parts: dict[str, str] = {}
        self.filaments: dict[str, tuple[bool, ...]] = {}
        self.positions: dict[str, str] = {}
        self.closed: set[str] = set()

    def read(self, title: str) -> StateReading:
        for device in self.variant.devices.values():
            self._read_device(device)
        return StateReading(
            title=title,
            settings=", ".join(f"{subject} {position}" for subject, position in self.settled.state.set.items()),
            volts=dict(self._volts()),
            wires={wire.id: self._life(wire) for wire in self.variant.wires},
            closed=frozenset(self.closed),
            positions=self.positions,
            moved=self._moved(),
            parts=self.parts,
            filaments=self.filaments,
            blown=frozenset(self._blown()),
            notes=tuple(self._notes()),
        )

    def _blown(self) -> Iterator[str]:
        rows = [self.network.branches[branch] for branch in self.settled.blown]
        for row in rows:
            if isinstance(row.owner, Part):
                yield f"{row.device}:{self.variant.devices[row.device].parts.index(row.owner)}"

    def _volts(self) -> Iterator[tuple[tuple[str, str], float]]:
        for point in self.network.graph.points:
            name, half = point_key(self.variant, point)
            volts = self.meter.volts(point)
            if volts is not None and (half or not point.half):
                yield (name, half), volts

    def _life(self, wire: Wire) -> Life:
        volts = [self.meter.volts(end.point) for end in wire.ends if end.point is not None]
        if any(v is not None and abs(v) >= LIVE_V for v in volts):
            return Life.LIVE
        flows = any(abs(self.meter.amperes(branch)) >= FLOWS_A for branch in self.network.branches_of(wire))
        return Life.RETURN if flows else Life.DEAD

    def _moved(self) -> frozenset[str]:
        rest = {subject: known[0] for subject, known in self.network.positions.items()}
        return frozenset(name for name, position in self.settled.positions.items() if position != rest.get(name))

    # -- devices ---------------------------------------------------------------------------------------------------
    def _read_device(self, device: Device) -> None:
        position = self.settled.positions.get(device.id, "")
        if device.kind == "module" and device.id in self.network.moved:
            position = "powered" if device.id in self.settled.energised else "not powered"
        if position:
            self.positions[device.id] = position.replace("-", " ")
        for number, part in enumerate(device.parts):
            key = f"{device.id}:{number}"
            if self._is_there(part) if part.kind == "contact" else device.id in self.settled.energised:
                self.closed.add(key)
            if word := self._at_work(device, part, key):
                loads = sum(p.kind not in ("contact", "trace", "coil") for p in device.parts)
                name = part.title or part.label or ("-".join(part.terminals) if loads > 1 else "")
                self.parts[key] = f"{name} {word}".strip()

    def _is_there(self, part: Part) -> bool:
        there = self.settled.solution.problem.there
        return all(there[branch] for branch in self.network.branches_of(part))

    def _at_work(self, device: Device, part: Part, key: str) -> str:
        """The word for what a part does, or nothing."""
        from compiler.network.world import default

        if part.role:
            return "on" if self.settled.positions.get(f"{device.id}.{part.terminals[0]}") == "on" else ""
        if part.kind == "coil":
            return "energised" if device.id in self.settled.energised else ""
        loads = [load for load in self.meter.loads(device, part) if self._works(load)]
        dead = default("seen", "dead").value
        working = [load for load in loads if load.share >= dead]
        if not working:
            return ""
        if part.kind == "headlamp":
            ends = {self.network.branches[load.branch].element.a for load in working}
            self.filaments[key] = tuple(terminal in ends for terminal in part.terminals[:-1])
            return f"{' '.join(t for t in part.terminals if t in ends)} lit"
        weak = max(load.share for load in working) < default("seen", "weak").value
        return "weak" if weak else _WORDS.get(part.kind, "powered")

    def _works(self, load: LoadReading) -> bool:
        return self.network.branches[load.branch].role is Behaviour.LOAD

    def _notes(self) -> Iterator[str]:
        for branch in self.settled.blown:
            yield f"{self.network.place(branch)} has blown"
        for unrest in self.settled.unrest:
            yield f"{', '.join(unrest.relays)}: {_UNREST[type(unrest).__name__]}"


_UNREST = {
    "Chatter": "never at rest; shown at rest",
    "Latch": "stays in once it is in; shown out",
    "Race": "which comes first decides; one end is shown",
}


def point_key(variant: Variant, point: Point) -> tuple[str, str]:
    """The key of a point in `StateReading.volts`."""
    connector = variant.connectors.get(point.item)
    return str(point), str(point.half) if connector is not None and connector.is_inline else ""


__all__ = ["FLOWS_A", "LIVE_V", "Life", "StateReading", "point_key", "read_state"]
