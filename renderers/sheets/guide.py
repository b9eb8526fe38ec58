"""The small guide to a relay's terminal face that stands beside the relay."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from compiler.model.items import Device
from renderers.sheets.ink import Rect, Shape, Words, line
from renderers.sheets.labels import LEADING, SMALL, width

# Makers use two footprints; see the data file.
NOTE = "numbers on relay decide"


@cache
def _face() -> dict[str, Any]:
    import tomllib

    with Path(__file__).with_name("data").joinpath("relay-faces.toml").open("rb") as file:
        return tomllib.load(file)


def guide_size(device: Device) -> tuple[float, float] | None:
    """Width and height of a relay's guide; None for what is no relay or has other terminals."""
    face = _face()
    names = set(device.terminals)
    if not {"85", "86"} <= names or not names <= set(face["blade"]):
        return None
    return max(float(face["wide"]), width(NOTE, SMALL)), face["high"] + SMALL * LEADING + 1


def guide_ink(device: Device, x: float, y: float) -> list[Shape]:
    """The guide with its upper left corner at (x, y), and a note under it; blades that the relay does not have are left
    out."""
    face = _face()
    ink: list[Shape] = [Rect(x, y, face["wide"], face["high"], 0.5, "none", "", "#555555")]
    for name, blade in face["blade"].items():
        if name in device.terminals:
            bx, by = x + blade["x"], y + blade["y"]
            ends = ((bx - 3.5, by), (bx + 3.5, by)) if blade["way"] == "across" else ((bx, by - 3.5), (bx, by + 3.5))
            ink.append(line(*ends, width=2))
            dx, dy, anchor = blade["name"]
            ink.append(Words(x + dx, y + dy, name, SMALL, False, anchor))
    ink.append(Words(x, y + face["high"] + SMALL * LEADING, NOTE, SMALL))
    return ink
