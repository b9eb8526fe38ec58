"""What kinds of part do to current: the common ways, for a kind's file to name. A kind with a way of its own writes
it there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from compiler.model.items import Behaviour
from compiler.network.elements import Condition, Electrics, Element, Sort
from compiler.network.world import load_default

if TYPE_CHECKING:
    from compiler.model.items import Device, Part
    from compiler.network.world import World


def load_ohm(part: Part, device: Device, world: World, index: int = 0, kind: str = "") -> tuple[float, bool]:
    """Resistance of a load at its rated voltage, and whether its rating had to be assumed.

    From its resistance, its power or its current, in that order; `index` counts the filaments or speeds of one
    part. A load
    of 0 W is no load: infinity.
    """
    suffix = "" if index == 0 else f"-{index + 1}"
    ratings, volts = part.ratings, world.rated_v(part)
    # A lamp's second resistance is its cold one, not that of a second filament.
    if resistance := ratings.get("resistance"):
        return resistance, False
    power = ratings.get(f"power{suffix}", ratings.get("power"))
    if power is None and (current := ratings.get(f"current{suffix}", ratings.get("current"))):
        return volts / current, False
    assumed = power is None
    if power is None:
        power, _, why = load_default(kind or part.kind)
        if power:
            world.assume(device, part, f"{power:g} W", why)
    return (volts * volts / power if power else float("inf")), assumed


def _load(part: Part, device: Device, world: World, ends: tuple[str, str], index: int = 0) -> tuple[Element, ...]:
    ohm, assumed = load_ohm(part, device, world, index)
    if ohm == float("inf"):
        return ()
    cold = part.ratings.get("resistance-2") or ohm * load_default(part.kind)[1]
    volts = world.rated_v(part)
    return (Element(Sort.RESISTANCE, *ends, ohm, 0.0, Behaviour.LOAD, (), cold, volts, assumed=assumed),)


def load(part: Part, device: Device, world: World) -> tuple[Element, ...]:
    """A load between the first two terminals."""
    return _load(part, device, world, (part.terminals[0], part.terminals[1]))


def loads_to_last(part: Part, device: Device, world: World) -> tuple[Element, ...]:
    """A load from each terminal to the last one: filaments or speeds with a common."""
    *others, last = part.terminals
    return tuple(e for i, other in enumerate(others) for e in _load(part, device, world, (other, last), i))


def resistor(name: str) -> Electrics:
    """A resistance between the first two terminals; `name` is the declared default for one that gives none."""

    def build(part: Part, device: Device, world: World) -> tuple[Element, ...]:
        ohm, assumed = given_ohm(part, device, world, name)
        return (Element(Sort.RESISTANCE, part.terminals[0], part.terminals[1], ohm, assumed=assumed),)

    return build


def given_ohm(part: Part, device: Device, world: World, name: str) -> tuple[float, bool]:
    """The resistance a part gives, or the declared default; and whether it is assumed."""
    if (given := part.ratings.get("resistance")) is not None:
        return max(given, world.ohm("least")), False
    ohm = world.ohm(name)
    world.assume(device, part, f"{ohm:g} ohm", "its resistance is not given")
    return ohm, True


def contact(part: Part, device: Device, world: World) -> tuple[Element, ...]:
    """A contact from the first terminal to each of the others, closed in the positions it names."""
    ohm = max(part.ratings.get("resistance", world.ohm("contact")), world.ohm("least"))
    when = (Condition(device.id, frozenset(part.when)),) if part.when else ()
    first, *others = part.terminals
    return tuple(Element(Sort.RESISTANCE, first, o, ohm, 0.0, Behaviour.CONTACT, when) for o in others)


def trace(part: Part, device: Device, world: World) -> tuple[Element, ...]:  # noqa: ARG001 - one form for all kinds
    """A printed trace from the first terminal to each of the others."""
    ohm = world.ohm("trace")
    first, *others = part.terminals
    return tuple(Element(Sort.RESISTANCE, first, other, ohm, 0.0, Behaviour.JOIN) for other in others)


def coil(part: Part, device: Device, world: World) -> tuple[Element, ...]:
    """A relay coil: its resistance (or power), and the voltages at which the relay pulls in and lets go.

    A diode across it has its cathode at the first terminal. What stands across it is no way for current and no load.
    """
    assumed = False
    if part.ratings.get("resistance") or part.ratings.get("power"):
        ohm, _ = load_ohm(part, device, world)
    else:
        ohm, assumed = given_ohm(part, device, world, "coil")
    rated = world.rated_v(part)
    pull, drop = world.value("coil", "pull_in") * rated, world.value("coil", "drop_out") * rated
    ends = (part.terminals[0], part.terminals[1])
    winding = Element(Sort.RESISTANCE, *ends, ohm, 0.0, Behaviour.COIL, (), 0.0, rated, pull, drop, assumed=assumed)
    if part.suppression == "with-diode":
        volts = world.value("diode", "forward_v")
        return winding, Element(Sort.DIODE, ends[1], ends[0], world.ohm("diode"), volts, Behaviour.BLOCK)
    if part.suppression == "with-resistor":
        across = part.ratings.get("resistance-2") or world.ohm("suppression")
        return winding, Element(Sort.RESISTANCE, *ends, across, 0.0, Behaviour.BLOCK)
    return (winding,)


def protection(part: Part, device: Device, world: World) -> tuple[Element, ...]:
    """A fuse or breaker: the resistance it gives, or its published voltage drop at its rating over the rating."""
    ohm, assumed = part.ratings.get("resistance"), False
    if ohm is None:
        rating = part.ratings.get("current")
        if not rating:
            rating, assumed = world.value("protection", "rating_a"), True
            world.assume(device, part, f"{rating:g} A", "its rating is not given")
        kind = device.word("type")
        ohm = world.value("protection", kind if kind in ("blade", "maxi") else "other") / rating
    ends = (part.terminals[0], part.terminals[1])
    ohm = max(ohm, world.ohm("least"))
    return (Element(Sort.RESISTANCE, *ends, ohm, 0.0, Behaviour.PROTECTION, assumed=assumed),)
