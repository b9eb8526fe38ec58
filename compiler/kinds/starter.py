"""A starter motor with its solenoid: main terminal 30, control 50, and its ground (usually `case`).

Control current runs through the solenoid to ground; the motor is fed from 30 through the solenoid's own contact."""

from __future__ import annotations

from compiler.kinds.base import Kind
from compiler.model.items import Behaviour, Stretch


def _stretches(terminals: tuple[str, ...]) -> tuple[Stretch, ...]:
    ground = terminals[-1]
    return (Stretch(terminals[0], ground, Behaviour.LOAD), Stretch(terminals[1], ground, Behaviour.LOAD))


KIND = Kind(
    name="starter",
    title="starter motor",
    letter="B",
    terminals=("30", "50", "case"),
    least=3,
    most=3,
    stretches=_stretches,
    ratings={"power": ("power",), "current": ("current", "current-2"), "resistance": ("resistance",)},
    as_part=False,
)
