"""What a part of a device does to direct current, as plain values. Kinds say it; the network puts it together."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from enum import IntEnum
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from compiler.model.items import Behaviour

if TYPE_CHECKING:
    from compiler.model.items import Device, Part
    from compiler.network.world import World


class Sort(IntEnum):
    """The three things a branch can be to the solver."""

    RESISTANCE = 0
    SOURCE = 1  # electromotive force from `b` to `a` behind a resistance; 0 ohm makes it ideal
    DIODE = 2  # conducts from `a` to `b` above its forward voltage, then through its resistance


class Condition(NamedTuple):
    """A branch is there only while `subject` (a device, or `DEVICE.terminal` of a module output) is in one of
    `positions`."""

    subject: str
    positions: frozenset[str]


class Element(NamedTuple):
    """One branch inside a device.

    a, b        terminals of the device; a name that begins with `~` is a point inside that no probe reaches
    ohm         resistance with the power on, in ohm
    volts       electromotive force of a source, forward voltage of a diode
    role        what it is for: LOAD, COIL, CONTACT ... (readings and checks go by this)
    when        conditions that must all hold; none: always there
    cold_ohm    resistance with the power off where it differs (a cold filament, a motor that stands); 0: as `ohm`
    rated_v     voltage at which a load or coil does what its rating says; of a source that gives one current, the
                voltage it is held at without load
    pull_in_v, drop_out_v
                voltages at which a coil moves its device to `energised`, and lets it go again
    powered     there only while the vehicle is under power: left out when resistance is measured
    assumed     a value that the source does not give went into it
    """

    sort: Sort
    a: str
    b: str
    ohm: float
    volts: float = 0.0
    role: Behaviour = Behaviour.RESISTOR
    when: tuple[Condition, ...] = ()
    cold_ohm: float = 0.0
    rated_v: float = 0.0
    pull_in_v: float = 0.0
    drop_out_v: float = 0.0
    powered: bool = False
    assumed: bool = False


Electrics: TypeAlias = "Callable[[Part, Device, World], Iterable[Element]]"
"""What a kind does to current: from a part, its device and what can be asked of the world, to its branches."""

OUTPUTS = ("high-side", "low-side")
"""Roles of the module pins that can be set."""
OUTPUT_POSITIONS = ("off", "on")
ENERGISED = "energised"
AT_REST = "at-rest"


def energised(device: str) -> tuple[Condition, ...]:
    """The condition that a device's own coil holds it."""
    return (Condition(device, frozenset((ENERGISED,))),)


def blocks(part: Part, device: Device, world: World) -> tuple[Element, ...]:  # noqa: ARG001 - one form for all kinds
    """No direct current at all: capacitors, data lines, insides that the sources do not give."""
    return ()
