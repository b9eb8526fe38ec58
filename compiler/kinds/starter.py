"""A starter motor with its solenoid: main terminal 30, control 50, and its ground (usually `case`).

Control current runs through the solenoid to ground; the motor is fed from 30 through the solenoid's own contact."""

from __future__ import annotations

from compiler.kinds.base import Kind
from compiler.model.items import Behaviour, Device, Part, Stretch
from compiler.network.behaviours import load_ohm
from compiler.network.elements import Element, Sort, energised
from compiler.network.world import World, load_default


def _stretches(terminals: tuple[str, ...]) -> tuple[Stretch, ...]:
    ground = terminals[-1]
    return (Stretch(terminals[0], ground, Behaviour.LOAD), Stretch(terminals[1], ground, Behaviour.LOAD))


def _electrics(part: Part, device: Device, world: World) -> tuple[Element, ...]:
    """The solenoid is a coil: while it is held in, the motor hangs on terminal 30."""
    feed, control, ground = part.terminals
    rated = world.rated_v(part)
    ohm, assumed = load_ohm(part, device, world)
    given = part.ratings.get("current-2")
    hold = rated / given if given else rated * rated / load_default("starter-solenoid")[0]
    pull, drop = (world.value("coil", name) * rated for name in ("pull_in", "drop_out"))
    cold = ohm * load_default("starter")[1]
    return (
        Element(
            Sort.RESISTANCE, control, ground, hold, 0.0, Behaviour.COIL, (), 0.0, rated, pull, drop, assumed=not given
        ),
        Element(
            Sort.RESISTANCE, feed, ground, ohm, 0.0, Behaviour.LOAD, energised(device.id), cold, rated, assumed=assumed
        ),
    )


KIND = Kind(
    name="starter",
    title="starter motor",
    letter="B",
    terminals=("30", "50", "case"),
    least=3,
    most=3,
    stretches=_stretches,
    electrics=_electrics,
    ratings={"power": ("power",), "current": ("current", "current-2"), "resistance": ("resistance",)},
    as_part=False,
)
