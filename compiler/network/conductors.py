"""How hot a loaded conductor gets, and what heat does to the length it may have: the rules of FAA AC 43.13-1B,
chapter 11.

Source: FAA AC 43.13-1B CHG 1, paragraphs 11-66 to 11-69 (public domain); grade A for the formulas.
"""

from __future__ import annotations

from math import sqrt

_COPPER_C = 234.5  # R of copper is proportional to 234.5 + T
_AT_20_C = _COPPER_C + 20


def derated_a(current_a: float, *factors: float) -> float:
    """A current-carrying capacity after derating factors (altitude, bundle), A."""
    for factor in factors:
        current_a *= factor
    return current_a


def conductor_c(ambient_c: float, rated_c: float, current_a: float, capacity_a: float) -> float:
    """Conductor temperature estimated from how much of its capacity a wire carries, degrees Celsius.

    T2 = T1 + (TR - T1) sqrt(I2 / Imax)
    """
    return ambient_c + (rated_c - ambient_c) * sqrt(current_a / capacity_a)


def length_when_hot(length_at_20_c: float, conductor_c: float) -> float:
    """The length that keeps a voltage drop at a conductor temperature, from the length that keeps it at 20 degrees.

    L2 = 254.5 L1 / (234.5 + T2)
    """
    return _AT_20_C * length_at_20_c / (_COPPER_C + conductor_c)
