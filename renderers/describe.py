"""Ratings, parts and terminals in words."""

from __future__ import annotations

from collections.abc import Mapping

from compiler.model.items import Device, Part
from compiler.model.variant import Variant
from compiler.network.elements import AT_REST, ENERGISED
from renderers.text import number

# rating name without its number -> (factor to the printed unit, unit), the first whose value is not below one
_UNITS: Mapping[str, tuple[tuple[float, str], ...]] = {
    "voltage": ((1, "V"), (1e3, "mV")),
    "current": ((1, "A"), (1e3, "mA")),
    "power": ((1e-3, "kW"), (1, "W")),
    "resistance": ((1e-3, "kΩ"), (1, "Ω"), (1e3, "mΩ")),
    "capacity": ((1, "Ah"),),
    "capacitance": ((1e6, "µF"),),
    "length": ((1, "m"),),
    "temperature": ((1, "°C"),),
    "pressure": ((1, "kPa"),),
}


def rating_text(name: str, value: float) -> str:
    """A rating in base units as printed: `resistance`, 0.006 -> `6 mΩ`."""
    units = _UNITS.get(name.rstrip("-0123456789"))
    if units is None:
        return number(value)
    for factor, unit in units:
        if abs(value * factor) >= 1:
            return f"{number(value * factor)} {unit}"
    factor, unit = units[-1] if value else units[min(1, len(units) - 1)]
    return f"{number(value * factor)} {unit}"


def ratings_text(ratings: Mapping[str, float]) -> str:
    """All ratings, in the order written."""
    return ", ".join(rating_text(name, value) for name, value in ratings.items())


def part_text(variant: Variant, part: Part) -> str:
    """A part in words: what it is, its name, when a contact is closed, its ratings."""
    kind = variant.kinds.get(part.kind)
    name = kind.title if kind else part.kind
    if part.role:
        name = part.role
    text = f"{name}, {part.title}" if part.title else name
    if part.when:
        text += f", closed {_closed(part.when)}"
    ratings = ratings_text(part.ratings)
    return f"{text}, {ratings}" if ratings else text


def _closed(when: tuple[str, ...]) -> str:
    """When a contact is closed: at positions by their names, or as a relay's two positions read in a sentence."""
    named = [position for position in when if position not in (AT_REST, ENERGISED)]
    told = ["at rest"] if AT_REST in when else []
    told += [f"at {', '.join(named)}"] if named else []
    return ", ".join([*told, *(["when energised"] if ENERGISED in when else [])])


def terminal_text(variant: Variant, device: Device, terminal: str) -> str:
    """What stands on a terminal of a device, in words; empty when nothing is known of its insides."""
    if terminal == "case":
        return "case"
    texts = dict.fromkeys(part_text(variant, part) for part in device.parts if terminal in part.terminals)
    return "; ".join(texts)
