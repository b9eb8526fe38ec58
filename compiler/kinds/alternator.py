"""An alternator with its regulator: output first, then field or lamp terminals; the last terminal (or `case`) is
its ground.

`alternator G1 "Alternator" B+ D+ case engine 14.2 V 90 A`: B+ feeds, D+ is the charge-lamp terminal, which the
regulator takes to ground while the machine stands still and holds at the output's voltage while it runs. It is
`standing` or `running`."""

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
    yield Element(Sort.SOURCE, output, ground, ohm, volts, Behaviour.SOURCE, running, powered=True)
    for terminal in fields:
        field = world.ohm("field")
        yield Element(Sort.RESISTANCE, terminal, ground, field, when=standing)
        yield Element(Sort.RESISTANCE, terminal, output, field, when=running, powered=True)


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
