"""An alternator with its regulator: output first, then field or lamp terminals; the last terminal (or `case`) is
its ground.

`alternator G1 "Alternator" B+ D+ case engine 14.2 V 90 A`: B+ feeds, D+ is the charge-lamp terminal, which the
regulator takes to ground while the machine stands still and holds at the output's voltage while it runs. It is
`standing` or `running`. It gives no more than its rated current; what is drawn above that comes from the battery."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.kinds.base import Kind
from compiler.model.items import Behaviour, Device, Part, Stretch
from compiler.network.elements import Condition, Element, Sort
from compiler.network.world import World


def _stretches(terminals: tuple[str, ...]) -> tuple[Stretch, ...]:
    ground = terminals[-1]
    field = tuple(Stretch(t, ground, Behaviour.RESISTOR) for t in terminals[1:-1])
    return (Stretch(terminals[0], ground, Behaviour.SOURCE), *field)


def _electrics(part: Part, device: Device, world: World) -> Iterator[Element]:
    """Standing, its diodes block the battery and its field hangs on the lamp terminals; running, it is a source."""
    output, *fields, ground = part.terminals
    running = (Condition(device.id, frozenset(("running",))),)
    standing = (Condition(device.id, frozenset(("standing",))),)
    volts = part.ratings.get("voltage") or world.value("battery", "alternator_v") * world.nominal_v / 12
    ohm = part.ratings.get("resistance", world.ohm("alternator"))
    yield from _output(output, ground, ohm, volts, part.ratings.get("current", 0.0), world, running)
    for terminal in fields:
        field = world.ohm("field")
        yield Element(Sort.RESISTANCE, terminal, ground, field, when=standing)
        yield Element(Sort.RESISTANCE, terminal, output, field, when=running, powered=True)


def _output(
    output: str, ground: str, ohm: float, volts: float, limit: float, world: World, running: tuple[Condition, ...]
) -> Iterator[Element]:
    """What feeds B+. A machine with a limit: its rated current, of which the regulator takes back what is not drawn.

    Up to the limit both together are the source of `volts` behind `ohm`; beyond it the regulator's branch is idle and
    the current stays what it is.
    """
    if not limit:
        yield Element(Sort.SOURCE, output, ground, ohm, volts, Behaviour.SOURCE, running, powered=True)
        return
    ohm = max(ohm, world.ohm("least"))
    least = volts - ohm * limit  # what is left at full output
    stiff = world.ohm("current-source")
    made = least + stiff * limit
    yield Element(Sort.SOURCE, output, ground, stiff, made, Behaviour.SOURCE, running, rated_v=volts, powered=True)
    yield Element(Sort.DIODE, output, ground, ohm, least, Behaviour.SOURCE, running, powered=True)


KIND = Kind(
    name="alternator",
    title="alternator",
    letter="G",
    terminals=("B+", "D+", "case"),
    least=2,
    most=8,
    stretches=_stretches,
    electrics=_electrics,
    settings=("standing", "running"),
    ratings={"voltage": ("voltage",), "current": ("current",), "resistance": ("resistance",)},
    as_part=False,
)
