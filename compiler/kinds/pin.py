"""One pin of a control module, with its role.

`supply`, `ground`, `high-side` (switches the supply out), `low-side` (switches to ground), `pull-up-input` (holds
the wire up through a resistor and sees it taken to ground), `input`, `sensor-supply`, `sensor-ground`, `data`,
`output` (signal). An output of the first two roles is off until it is set `on`. What the module itself feeds is
there while its supply is. All `ground` pins of a module are joined inside it, and share what it takes to ground."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.kinds.base import Kind
from compiler.model.items import Behaviour, Device, Part
from compiler.network.elements import Condition, Element, Sort, energised
from compiler.network.world import World, load_default


def _electrics(part: Part, device: Device, world: World) -> Iterator[Element]:
    own = part.terminals[0]
    supply, ground = _first(device, "supply"), _first(device, "ground")
    switched = (Condition(f"{device.id}.{own}", frozenset(("on",))),)
    given = part.ratings.get("resistance")
    driver = given or world.ohm("driver")
    if part.role == "supply" and ground:
        yield _consumption(part, device, world, ground)
    elif part.role == "high-side" and supply:
        yield Element(Sort.RESISTANCE, supply, own, driver, 0.0, Behaviour.DRIVER, switched, powered=True)
    elif part.role == "low-side" and ground:
        yield Element(Sort.RESISTANCE, own, ground, driver, 0.0, Behaviour.DRIVER, switched, powered=True)
    elif part.role == "ground" and own != ground:
        yield Element(Sort.RESISTANCE, own, ground, world.ohm("trace"), 0.0, Behaviour.JOIN)
    elif part.role == "sensor-ground" and ground:
        yield Element(Sort.RESISTANCE, own, ground, driver, 0.0, Behaviour.DRIVER)
    elif part.role in ("pull-up-input", "sensor-supply") and ground:
        ohm = given or world.ohm("pull-up" if part.role == "pull-up-input" else "sensor-supply")
        volts = part.ratings.get("voltage") or world.value("module", "sensor_v")
        awake = energised(device.id) if supply else ()
        yield Element(Sort.SOURCE, own, ground, ohm, volts, Behaviour.DRIVER, awake, powered=True)
    elif part.role == "input" and ground:
        yield Element(Sort.RESISTANCE, own, ground, given or world.ohm("input"), 0.0, Behaviour.BLOCK)


def _consumption(part: Part, device: Device, world: World, ground: str) -> Element:
    """What the module takes for itself; above its working voltage it is awake."""
    rated = world.rated_v(part)
    power = part.ratings.get("power") or part.ratings.get("current", 0.0) * rated
    assumed = not power
    if not power:
        power, _, why = load_default("module")
        world.assume(device, part, f"{power:g} W", why)
    wake, sleep = world.value("coil", "wake_v"), world.value("coil", "sleep_v")
    ends = (part.terminals[0], ground)
    ohm = rated * rated / power
    return Element(Sort.RESISTANCE, *ends, ohm, 0.0, Behaviour.LOAD, (), 0.0, rated, wake, sleep, assumed=assumed)


def _first(device: Device, role: str) -> str:
    """The module's first pin of a role, or empty."""
    return next((p.terminals[0] for p in device.parts if p.role == role and p.terminals), "")


KIND = Kind(
    name="pin",
    title="module pin",
    letter="U",
    terminals=("1",),
    least=1,
    most=1,
    electrics=_electrics,
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
