"""A lookup worked through: one load of the variant, from its name in the index to its fuse, cavities and ground."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from compiler.model.items import Behaviour, Connector, Ground, Wire
from compiler.network.flows import Consumer
from renderers.cells import circuit_runs, colour_cell, item_runs, point_runs, size_cell, wire_cell
from renderers.context import PackContext
from renderers.tables import Run, listed
from renderers.text import anchor, initial, natural_key

Step = tuple[Run, ...]


class _Found(NamedTuple):
    """A load with what its lookup shows: its wires from the fuse on, connectors passed, ground."""

    consumer: Consumer
    wires: tuple[Wire, ...]
    connectors: tuple[Connector, ...]
    ground: Ground


def worked(context: PackContext) -> tuple[Step, ...]:
    """The steps; none for a variant in which no load shows them all."""
    found = [one for consumer in context.loads.flows.consumers if (one := _look(context, consumer))]
    if not found:
        return ()
    # The best lesson passes a connector between harnesses and has few wires to follow.
    best = min(found, key=lambda one: (not one.connectors, len(one.wires), natural_key(one.consumer.device.id)))
    return tuple(_steps(context, best))


def _look(context: PackContext, consumer: Consumer) -> _Found | None:
    rows = context.loads.flows.network.branches
    device = consumer.device
    if (
        rows[consumer.branch].role is not Behaviour.LOAD
        or consumer.fuse < 0
        or not device.title
        or len(device.parts) > 1
    ):
        return None
    if not any(context.zone_on(sheet, device.id) for sheet in context.sheets_of_item(device.id)):
        return None
    after = consumer.feed[consumer.feed.index(consumer.fuse) + 1 :]
    wires = tuple(owner for n in after if isinstance(owner := rows[n].owner, Wire))
    passed = (rows[n].owner for n in after if rows[n].role is Behaviour.CAVITY)
    connectors = tuple(c for c in passed if isinstance(c, Connector) and c.is_inline)
    ground = _bolt(context, consumer)
    return _Found(consumer, wires, connectors, ground) if wires and ground else None


def _bolt(context: PackContext, consumer: Consumer) -> Ground | None:
    """The ground that a load returns to."""
    rows = context.loads.flows.network.branches
    for number in context.loads.flows.own_return(consumer):
        owner = rows[number].owner
        for end in owner.ends if isinstance(owner, Wire) else ():
            if end.point and end.point.item in context.variant.grounds:
                return context.variant.grounds[end.point.item]
    return None


def _steps(context: PackContext, found: _Found) -> Iterator[Step]:
    consumer, wires, connectors, ground = found
    device, variant = consumer.device, context.variant
    sheet = next(s for s in context.sheets_of_item(device.id) if context.zone_on(s, device.id))
    zone = context.zone_on(sheet, device.id)
    yield (
        Run(f"You look for “{device.title}”. Under {initial(device.title)} the "),
        Run("alphabetical index", anchor("section", "index"), page=True),
        Run(" gives the id "),
        *item_runs(context, device.id),
        Run(" and the sheet: "),
        Run(f"{sheet} {zone}", anchor("sheet", sheet), page=True),
        Run(f", that is zone {zone} of sheet {sheet}."),
    )
    last = wires[-1]
    ends = [end.point for end in last.ends if end.point]
    near = next((p for p in ends if context.device_at(p) is device), ends[-1])
    yield (
        Run("There wire "),
        *wire_cell(last).runs,
        Run(f" ({colour_cell(context, last).text}, {size_cell(last).text}) feeds it at "),
        *point_runs(context, near, named=False),
        Run(". The wire belongs to circuit "),
        *circuit_runs(context, last.circuit, named=True),
        Run("."),
    )
    if connectors:
        connector = connectors[-1]
        at = [p for w in wires for e in w.ends if (p := e.point) and p.item == connector.id]
        here = next((p for w in reversed(wires) for e in w.ends if (p := e.point) and p.item == connector.id), at[0])
        before = next((w for w in wires for e in w.ends if e.point == here._replace(half=1 - here.half)), None)
        yield (
            Run("Against the current it passes "),
            *item_runs(context, connector.id, named=True),
            Run(": the connector chart shows cavity "),
            *point_runs(context, here, named=False),
            *((Run(", and on its other half wire "), *wire_cell(before).runs) if before else ()),
            Run("."),
        )
    fuse = context.loads.flows.network.branches[consumer.fuse].device
    slot = variant.devices[fuse].word("slot")
    others = [d.id for d in context.fed_by(variant.devices[fuse]).devices if d.id != device.id]
    yield (
        Run("It is fed through "),
        *item_runs(context, fuse, named=True),
        Run(f", slot {slot} of " if slot and variant.devices[fuse].block else ""),
        *(item_runs(context, variant.devices[fuse].block, named=True) if slot and variant.devices[fuse].block else ()),
        Run(". On the same fuse: " if others else ". Nothing else is on that fuse."),
        *listed(item_runs(context, other) for other in others[:8]),
        Run("" if not others else " and more." if len(others) > 8 else "."),
    )
    words = variant.place_of(ground)
    yield (
        Run("It returns to ground "),
        *item_runs(context, ground.id, named=True),
        Run(f": {words}." if words else "."),
    )
