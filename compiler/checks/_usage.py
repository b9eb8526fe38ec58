"""What a variant declares and nothing uses."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from compiler.checks._ends import Ends
from compiler.model.items import Device, Named
from compiler.model.variant import Variant


class Unused(NamedTuple):
    """An item that no wire reaches and nothing names.

    sort    what it is, in words
    omit    the words that leave it out of a variant, or empty where a variant cannot
    shared  zones, harnesses, structures, kinds, colour tables and named states: the whole line has them, and some
            variant needs them
    """

    item: Named
    sort: str
    omit: str
    shared: bool


class Usage:
    """`unused` by (sort, id): an id stands in several name spaces. `idle` are the ids among the items of a variant."""

    def __init__(self, variant: Variant, ends: Ends) -> None:
        self.variant = variant
        self.named = {*_named(variant), *(ends.guess(end.item) for end in ends.adrift if end.item != "?")}
        self.unused: tuple[Unused, ...] = (*self._items(), *self._circuits(), *self._shared())
        self.idle = frozenset(unused.item.id for unused in self.unused if unused.omit == unused.item.id)

    def _items(self) -> Iterator[Unused]:
        variant, named = self.variant, self.named
        buses_fed = {device.bus for device in variant.devices.values()}
        filled = {device.block for device in variant.devices.values()} | {bus.block for bus in variant.buses.values()}
        cabled = {wire.core.rpartition(".")[0] for wire in variant.wires if wire.core}
        points = variant.wired_points
        for connector in variant.connectors.values():
            if connector.is_inline and connector.id not in named and not points(connector.id):
                yield Unused(connector, "connector", connector.id, False)
        for device in variant.devices.values():
            ids = (device.id, *device.connectors)
            if not (named.intersection(ids) or any(points(id_) for id_ in ids) or _served(device)):
                yield Unused(device, device.kind.replace("-", " "), device.id, False)
        for ground in variant.grounds.values():
            if ground.id not in named and not points(ground.id):
                yield Unused(ground, "ground", ground.id, False)
        for bus in variant.buses.values():
            if bus.id not in named and bus.id not in buses_fed and not points(bus.id):
                yield Unused(bus, "bus", bus.id, False)
        for block in variant.blocks.values():
            if block.id not in named and block.id not in filled:
                yield Unused(block, "fuse block", block.id, False)
        for cable in variant.cables.values():
            if cable.id not in named and cable.id not in cabled:
                yield Unused(cable, "cable", cable.id, False)

    def _circuits(self) -> Iterator[Unused]:
        for circuit in self.variant.circuits.values():
            if not self.variant.wires_of_circuit(circuit.id):
                yield Unused(circuit, "circuit", f"circuit {circuit.id}", False)

    def _shared(self) -> Iterator[Unused]:
        variant = self.variant
        zones = {item.place.zone for item in variant.items.values() if item.place}
        harnesses = {wire.harness for wire in variant.wires}
        harnesses.update(half for connector in variant.connectors.values() for half in connector.halves)
        harnesses.update(splice.harness for splice in variant.splices.values())
        harnesses.update(cable.harness for cable in variant.cables.values())
        structures = {ground.structure for ground in variant.grounds.values()}
        structures.update(device.case for device in variant.devices.values())
        kinds = {device.kind for device in variant.devices.values()}
        groups: tuple[tuple[str, Mapping[str, Named], Iterable[str], bool], ...] = (
            ("zone", variant.zones, zones, True),
            ("harness", variant.harnesses, harnesses, True),
            ("structure", variant.structures, structures, False),
            ("kind", variant.declared_kinds, kinds, False),
            ("colour table", variant.colour_tables, {variant.colours.name}, False),
        )
        for state in _idle_states(variant):
            yield Unused(state, "state", f'state "{state.id}"', True)
        for sort, group, used, can_be_omitted in groups:
            for item in group.values():
                if item.id not in used:
                    yield Unused(item, sort, f"{sort} {item.id}" if can_be_omitted else "", True)


def _named(variant: Variant) -> Iterator[str]:
    """Ids of items that sheets, states, expectations, complaints and trouble codes name."""
    for sheet in variant.sheets.values():
        for word, _ in sheet.components:
            yield word.text
    subjects = [fact.subject for scenario in variant.scenarios for fact in (*scenario.set, *scenario.seen)]
    subjects += [fact.subject for state in variant.states.values() for fact in state.set]
    subjects += [code.subject for code in variant.trouble_codes.values() if code.about == "item"]
    for subject in subjects:
        yield subject
        yield subject.rpartition(".")[0]


def _idle_states(variant: Variant) -> Iterator[Named]:
    """Named states that nothing sets and no sheet is published in."""
    named = {name for scenario in variant.scenarios for name in scenario.states}
    named.update(name for state in variant.states.values() for name in state.builds_on)
    return (state for state in variant.states.values() if state.id not in named and not state.sheets)


def _served(device: Device) -> bool:
    """Whether a device works without a wire: a glow plug sits on its rail and in the engine."""
    if not (device.bus and device.parts):
        return False
    joined = {device.parts[0].terminals[0], "case" if device.case else ""}
    return joined.issuperset(device.terminals)
