"""Quantities: a number with a unit, turned into base units of the trade (V, A, W, ohm, m, min, Ah, F, degC, kPa)."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

_FORM = re.compile(r"(-?)(\d+/0|\d+(?:\.\d+)?)[ \t]*(\S+)\Z")

# unit -> (dimension, factor to the base unit)
_UNITS: dict[str, tuple[str, float]] = {
    "V": ("voltage", 1.0),
    "mV": ("voltage", 1e-3),
    "A": ("current", 1.0),
    "mA": ("current", 1e-3),
    "W": ("power", 1.0),
    "kW": ("power", 1e3),
    "ohm": ("resistance", 1.0),
    "mohm": ("resistance", 1e-3),
    "kohm": ("resistance", 1e3),
    "m": ("length", 1.0),
    "cm": ("length", 1e-2),
    "mm": ("length", 1e-3),
    "min": ("time", 1.0),
    "Ah": ("charge", 1.0),
    "uF": ("capacitance", 1e-6),
    "degC": ("temperature", 1.0),
    "°C": ("temperature", 1.0),
    "kPa": ("pressure", 1.0),
    "%": ("share", 0.01),
    "mm2": ("size", 1.0),
    "mm²": ("size", 1.0),
    "AWG": ("size", 1.0),
    "SAE": ("size", 1.0),
    "cavities": ("cavities", 1.0),
    "cavity": ("cavities", 1.0),
    "core": ("cores", 1.0),
    "cores": ("cores", 1.0),
}


class Quantity(NamedTuple):
    """`number` and `unit` as written; `dimension` (voltage, size, length ...); `value` in the base unit.

    The value of a size is the number written, in its own system; sizes are compared by compiler.standards.sizes only.
    """

    number: str
    unit: str
    dimension: str
    value: float

    def __str__(self) -> str:
        return f"{self.number} {self.unit}"


@lru_cache(maxsize=4096)
def read_quantity(text: str) -> Quantity:
    """A QUANTITY word's text as a quantity. Raises ValueError for text that is not one."""
    match = _FORM.match(text)
    if match is None or match[3] not in _UNITS:
        raise ValueError(f"not a quantity: {text!r}")
    sign, number, unit = match.groups()
    dimension, factor = _UNITS[unit]
    plain = float(number.split("/")[0]) if "/" in number else float(number)
    return Quantity(sign + number, "mm2" if unit == "mm²" else unit, dimension, (-plain if sign else plain) * factor)
