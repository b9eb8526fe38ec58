"""A switch: positions and a contact table in its block; the first position is the one at rest.

`operated-by` says what moves it: hand, push, rotary, pressure, temperature, level, tilt, pedal, gear, door, key."""

from __future__ import annotations

from compiler.kinds.base import Kind

KIND = Kind(
    name="switch",
    title="switch",
    letter="S",
    terminals=(),
    least=0,
    most=None,
    words=("operated-by",),
    ratings={"current": ("current",), "pressure": ("pressure",), "temperature": ("temperature",)},
    as_part=False,
    body=("positions",),
)
