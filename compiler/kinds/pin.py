"""One pin of a control module, with its role.

`supply`, `ground`, `high-side` (switches the supply out), `low-side` (switches to ground), `pull-up-input` (holds the wire up
through a resistor and sees it taken to ground), `input`, `sensor-supply`, `sensor-ground`, `data`, `output` (signal)."""

from __future__ import annotations

from compiler.kinds.base import Kind

KIND = Kind(
    name="pin",
    title="module pin",
    letter="U",
    terminals=("1",),
    least=1,
    most=1,
    ratings={
        "current": ("current",),
        "resistance": ("resistance",),
        "voltage": ("voltage",),
        "power": ("power",),
    },
    choices={
        "role": (
            "supply",
            "ground",
            "high-side",
            "low-side",
            "pull-up-input",
            "input",
            "sensor-supply",
            "sensor-ground",
            "data",
            "output",
        )
    },
    as_device=False,
)
