"""What a kind may ask when it says what it does to current: nominal voltage, temperature, and values the source
leaves out."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from compiler.standards.sizes import Basis, Size, read_size, resistance_ohm_per_m

if TYPE_CHECKING:
    from compiler.model.items import Device, Part, Wire

_DATA = Path(__file__).parent / "data" / "electrics.toml"
_NOMINAL_V = ((9.0, 18.0, 12.0), (18.0, 36.0, 24.0))


class Assumed(NamedTuple):
    """A value that the source does not give: whose it is (`wire 48B`, `lamp E3`), what was taken, and why that."""

    what: str
    value: str
    why: str


class Default(NamedTuple):
    """A declared default: its value in base units, its grade, its source."""

    value: float
    grade: str
    source: str


@cache
def _tables() -> dict[str, Any]:
    import tomllib  # not at the top: kinds import this module whenever anything is read

    with _DATA.open("rb") as file:
        return tomllib.load(file)


@cache
def default(table: str, name: str) -> Default:
    """A row of the table of defaults. Raises KeyError."""
    row = _tables()[table][name]
    return Default(float(row["value"]), row["grade"], row["source"])


@cache
def load_default(kind: str) -> tuple[float, float, str]:
    """Power in W taken for a load of a kind, its resistance with the power off over that at work, and the source."""
    loads = _tables()["load"]
    row = loads.get(kind) or loads["other"]
    return float(row["power"]), float(row.get("cold_share", 1.0)), row["source"]


@cache
def is_continuous(kind: str) -> bool:
    """Whether a load of a kind may be on for long."""
    return bool(_tables()["load"].get(kind, {}).get("continuous", True))


@cache
def _material(wire_type: str) -> tuple[float, float, float]:
    """Resistance factor against copper, temperature coefficient per K, and copper's own coefficient."""
    materials = _tables()["material"]
    copper = float(materials["copper"]["alpha_per_k"])
    for row in materials.values():
        if any(wire_type.upper().startswith(prefix) for prefix in row["prefixes"]):
            return float(row["factor"]), float(row["alpha_per_k"]), copper
    return 1.0, copper, copper


def nominal(supply_v: float) -> float:
    """The nominal voltage that belongs to a supply: 12 V from 9 to 18 V, 24 V from 18 to 36 V, else the supply
    itself."""
    for least, largest, volts in _NOMINAL_V:
        if least <= supply_v < largest:
            return volts
    return supply_v


class World:
    """The conditions that a network is computed under, and the list of what had to be assumed.

    supply_v       voltage of a battery that gives none
    nominal_v      voltage at which a load takes its rated power, unless its own rating says otherwise
    temperature_c  of the conductors, degrees Celsius
    basis          resistance table for wires
    """

    def __init__(
        self,
        supply_v: float,
        temperature_c: float = 20.0,
        basis: Basis = "iec60228-class5",
        nominal_v: float | None = None,
    ) -> None:
        self.supply_v = supply_v
        self.nominal_v = nominal(supply_v) if nominal_v is None else nominal_v
        self.temperature_c = temperature_c
        self.basis: Basis = basis
        self.assumed: list[Assumed] = []

    def ohm(self, name: str) -> float:
        """A declared resistance in ohm (`cavity`, `ground`, `coil` ...). Raises KeyError."""
        return default("ohm", name).value

    def value(self, table: str, name: str) -> float:
        """A declared value of another table. Raises KeyError."""
        return default(table, name).value

    def scaled(self, table: str, name: str) -> float:
        """A declared share of the nominal voltage, in V. Raises KeyError."""
        return default(table, name).value * self.nominal_v

    def rated_v(self, part: Part) -> float:
        """The voltage at which a part does what its rating says."""
        return part.ratings.get("voltage") or self.nominal_v

    def assume(self, device: Device, part: Part, value: str, why: str) -> None:
        """Note a value taken for a part that gives none."""
        name = f"{device.id}.{part.label}" if part.label else device.id
        self.assumed.append(Assumed(f"{part.kind} {name}", value, why))

    def conductor_ohm(self, size: Size, length_m: float, wire_type: str = "") -> float:
        """Resistance in ohm of a conductor by size, length, material (from the wire's type) and temperature."""
        return _per_metre(size, self.temperature_c, self.basis, wire_type) * length_m

    def wire_ohm(self, wire: Wire) -> tuple[float, bool]:
        """Resistance of a wire in ohm, and whether its size or length had to be assumed."""
        size, length = wire.size, wire.length_m
        if size is not None and length is not None:
            return _per_metre(size, self.temperature_c, self.basis, wire.words.get("type", "")) * length, False
        taken: list[str] = []
        if size is None:
            size = _assumed_size()
            taken.append(str(size))
        if length is None:
            length = default("wire", "length_m").value
            taken.append(f"{length:g} m")
        self.assumed.append(Assumed(f"wire {wire.id}", ", ".join(taken), "size or length is not given"))
        return self.conductor_ohm(size, length, wire.words.get("type", "")), True


@cache
def _assumed_size() -> Size:
    return read_size(str(_tables()["wire"]["size_mm2"]["value"]), "mm2")


@cache
def _per_metre(size: Size, temperature_c: float, basis: Basis, wire_type: str) -> float:
    factor, alpha, copper = _material(wire_type)
    ohm = resistance_ohm_per_m(size, temperature_c, basis) * factor
    if alpha != copper:
        ohm *= (1 + alpha * (temperature_c - 20)) / (1 + copper * (temperature_c - 20))
    return ohm


def standing_hours(capacity_ah: float, amperes: float) -> float:
    """Hours for which a battery of a capacity in Ah can give a current, ideally."""
    return capacity_ah / amperes if amperes else float("inf")
