"""Conductor sizes in mm2, AWG and SAE numbers, and the resistance of copper conductors.

The three systems have three different areas for what looks alike: AWG 18 is 0.823 mm2, SAE 18 is 0.779 mm2,
and the 0.75 mm2 of the metric series is neither. Nothing here converts one into another; areas may be
compared.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, Literal, cast, get_args

from compiler.standards import _data
from compiler.standards._curve import Points, resistivity_at

System = Literal["mm2", "AWG", "SAE"]
Basis = Literal["iec60228-class5", "iec60228-class5-coated", "iso6722", "ac43-11-9", "solid"]
TemperatureRule = Literal["iacs", "iec60228", "ac43"]

_NUMBER = re.compile(r"\d{1,6}(\.\d{1,6})?")
_SMALLEST_MM2, _LARGEST_MM2 = 0.01, 1000.0  # our own limits on what can be a vehicle's conductor
_COLDEST_C, _HOTTEST_C = -100.0, 300.0  # the straight-line temperature rule is not meant for more

_METRES_PER_1000_FT = 304.8
_MM_PER_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Size:
    """A conductor size.

    ``name`` is canonical (``2.5``, ``14``, ``2/0``); ``area_mm2`` is the conductor's area in mm2.
    """

    system: System
    name: str
    area_mm2: float

    def __str__(self) -> str:
        return f"{self.name} {self.system}"


def read_size(number_text: str, unit: str) -> Size:
    """The size written as number and unit: ``2.5 mm2``, ``14 AWG``, ``2/0 AWG`` (also ``00``), ``16 SAE``.

    AWG areas by the formula of ASTM B258; SAE areas are the table's minimum areas. Raises ValueError for a
    number that the system does not have, or an unknown unit.
    """
    return _read(number_text, unit)


@lru_cache(maxsize=1024)  # behind the public function, because the cache hides argument types
def _read(number_text: str, unit: str) -> Size:
    text = number_text.strip()
    match unit:
        case "mm2" | "mm²":
            return _read_mm2(text)
        case "AWG":
            return _awg(_read_gauge(text))
        case "SAE":
            if text not in _sae_areas():
                raise ValueError(f"{text} is not an SAE size; sizes are {', '.join(_sae_areas())}")
            return Size("SAE", text, _sae_areas()[text])
    raise ValueError(f"{unit} is not a unit of conductor size; units are mm2, AWG and SAE")


def gauge_number(size: Size) -> int | None:
    """Gauge number of an AWG or SAE size: 14 -> 14, 1/0 -> 0, 2/0 -> -1. None for mm2."""
    if size.system == "mm2":
        return None
    return 1 - int(size.name[0]) if size.name.endswith("/0") else int(size.name)


def steps_between(a: Size, b: Size) -> int | None:
    """How many gauge numbers ``b`` is smaller (thinner) than ``a``, odd ones counted; negative if thicker.

    None when the systems differ or the sizes are in mm2.
    """
    first, second = gauge_number(a), gauge_number(b)
    if a.system != b.system or first is None or second is None:
        return None
    return second - first


def nominal_mm2() -> tuple[float, ...]:
    """The metric series of vehicle cable, mm2, rising."""
    return tuple(float(area) for area in _data.load("sizes")["mm2"]["series"])


@cache
def sae_metric_names() -> Mapping[str, float]:
    """The mm2 by which an SAE number usually goes, ``18`` -> 0.8. A name, not a conversion of area."""
    return {row["number"]: float(row["metric"]) for row in _data.load("sizes")["sae"]["size"]}


def resistance_ohm_per_m(size: Size, temperature_c: float = 20.0, basis: Basis = "iec60228-class5") -> float:
    """Resistance of one metre of a copper conductor in ohm, at a conductor temperature in degrees Celsius.

    At a size of the basis's table: the table's value. At any other area: the resistivity (R x A) of the
    neighbouring rows, moving evenly with the logarithm of the area between them and kept beyond the first
    and last row, over the area. ``solid`` is annealed copper at 100 % IACS. Temperature by
    ``temperature_factor``. Raises ValueError for an unknown basis or a temperature outside -100 to 300 C.
    """
    return _resistance(size, temperature_c, basis)


@lru_cache(maxsize=4096)
def _resistance(size: Size, temperature_c: float, basis: Basis) -> float:
    if basis not in get_args(Basis):
        raise ValueError(f"no resistance table {basis!r}; there are {', '.join(get_args(Basis))}")
    factor = temperature_factor(temperature_c)
    if basis == "solid":
        resistivity: float = _data.load("resistance")["copper"]["resistivity_ohm_mm2_per_m"]
        return resistivity / size.area_mm2 * factor
    points = _resistances(basis)
    exact = dict(points).get(size.area_mm2)
    at_20 = resistivity_at(points, size.area_mm2) / size.area_mm2 if exact is None else exact
    return at_20 * factor


def temperature_factor(temperature_c: float, rule: TemperatureRule = "iacs") -> float:
    """Resistance at a temperature (C) over resistance at 20 C, for copper: 1 + alpha (t - 20).

    ``iacs`` 0.00393 per K; ``iec60228`` 0.004 (its k_t is the inverse of this factor); ``ac43`` (234.5 + t)
    / 254.5. Raises ValueError outside -100 to 300 C.
    """
    if not _COLDEST_C <= temperature_c <= _HOTTEST_C:
        raise ValueError(f"{temperature_c} C is outside {_COLDEST_C:.0f} to {_HOTTEST_C:.0f} C")
    alpha: float = _data.load("resistance")["temperature"][rule]["alpha_per_k"]
    return 1 + alpha * (temperature_c - 20)


def resistance_source(basis: Basis) -> str:
    """The publication behind a resistance basis."""
    data = _data.load("resistance")
    return str(data["copper"]["source"] if basis == "solid" else data["basis"][basis]["source"])


def _read_mm2(text: str) -> Size:
    if not _NUMBER.fullmatch(text) or not _SMALLEST_MM2 <= float(text) <= _LARGEST_MM2:
        raise ValueError(f"{text} is not a conductor area in mm2 ({_SMALLEST_MM2:g} to {_LARGEST_MM2:g})")
    whole, _, part = text.partition(".")
    part = part.rstrip("0")
    name = str(int(whole)) + (f".{part}" if part else "")
    return Size("mm2", name, float(name))


def _read_gauge(text: str) -> int:
    awg = _data.load("sizes")["awg"]
    if re.fullmatch(r"[1-4]/0", text):
        return 1 - int(text[0])
    if re.fullmatch(r"0{1,4}", text):
        return 1 - len(text)
    if not re.fullmatch(r"[1-9]\d?", text) or int(text) > awg["largest_gauge"]:
        raise ValueError(
            f"{text} is not an AWG size; sizes are 4/0, 3/0, 2/0, 1/0 and 1 to {awg['largest_gauge']}"
        )
    return int(text)


def _awg(gauge: int) -> Size:
    awg = _data.load("sizes")["awg"]
    inches = awg["base_diameter_in"] * awg["ratio"] ** ((awg["base_gauge"] - gauge) / awg["steps"])
    name = str(gauge) if gauge > 0 else f"{1 - gauge}/0"
    return Size("AWG", name, math.pi / 4 * (_MM_PER_INCH * inches) ** 2)


@cache
def _sae_areas() -> dict[str, float]:
    sae = _data.load("sizes")["sae"]
    return {
        row["number"]: row["cmil"] * sae["mm2_per_cmil"] if "cmil" in row else float(row["metric"])
        for row in sae["size"]
    }


@cache
def _resistances(basis: Basis) -> Points:
    """Rows (area in mm2, ohm per metre) of a basis, by rising area."""
    table = cast(dict[str, Any], _data.load("resistance")["basis"][basis])
    per_metre = {"ohm/km": 1000.0, "ohm/1000 ft": _METRES_PER_1000_FT}[table["unit"]]
    system = table.get("system", "mm2")
    return tuple(
        sorted((read_size(str(name), system).area_mm2, value / per_metre) for name, value in table["rows"])
    )
