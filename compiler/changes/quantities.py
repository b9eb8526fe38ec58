"""Quantities of an inventory as printed: base units turned into the unit that a person would use."""

from __future__ import annotations

from collections.abc import Mapping

# fact or rating without its number -> (factor to the printed unit, unit), the first in which the value is not below one
_UNITS: Mapping[str, tuple[tuple[float, str], ...]] = {
    "voltage": ((1, "V"), (1e3, "mV")),
    "supply": ((1, "V"),),
    "current": ((1, "A"), (1e3, "mA")),
    "power": ((1e-3, "kW"), (1, "W")),
    "resistance": ((1e-3, "kohm"), (1, "ohm"), (1e3, "mohm")),
    "capacity": ((1, "Ah"),),
    "capacitance": ((1e6, "uF"),),
    "length": ((1, "m"),),
    "access": ((1, "min"),),
    "temperature": ((1, "degC"),),
    "pressure": ((1, "kPa"),),
}


def quantity_text(name: str, value: float) -> str:
    """A fact or rating in base units as printed: `resistance`, 0.006 -> `6 mohm`."""
    units = _UNITS.get(name.rstrip("-0123456789"), ((1, ""),))
    factor, unit = next(((f, u) for f, u in units if abs(value * f) >= 1), units[-1])
    return f"{value * factor:.10g} {unit}".rstrip()
