"""What can be looked up in a pack: one entry for each thing that has an id."""

from __future__ import annotations

from compiler.model.items import Connector, Device, Located
from renderers.context import PackContext
from renderers.document import Entry
from renderers.text import anchor, natural_key

_WORDS = {"FuseBlock": "fuse block", "Bus": "bus"}


def entries(context: PackContext) -> tuple[Entry, ...]:
    """Entries of items, circuits, sheets and zones, by id."""
    variant = context.variant
    found = [
        Entry(
            _term(context, item) or item.id,
            item.id,
            _what(context, item),
            context.home(item.id),
            context.sheets_of_item(item.id),
        )
        for item in variant.items.values()
    ]
    found += [
        Entry(c.title or c.id, c.id, "circuit", anchor("circuit", c.id), context.sheets_of_circuit(c.id))
        for c in variant.circuits.values()
    ]
    found += [
        Entry(figure.title or f"Sheet {name}", name, "wiring sheet", anchor("sheet", name), (name,))
        for name, figure in context.sheets.items()
    ]
    found += [Entry(z.title or z.id, z.id, "zone", anchor("zone", z.id), ()) for z in variant.zones.values()]
    return tuple(sorted(found, key=lambda entry: (natural_key(entry.id), entry.what)))


def _term(context: PackContext, item: Located) -> str:
    """The name an item is looked up by; a component's connector goes by the component's name first."""
    if isinstance(item, Connector) and (device := context.variant.devices.get(item.device)):
        return ", ".join(filter(None, (device.title, item.title)))
    return item.title


def _what(context: PackContext, item: Located) -> str:
    if isinstance(item, Device):
        return context.kind_title(item)
    if isinstance(item, Connector) and item.device:
        return f"connector of {item.device}"
    name = type(item).__name__
    return _WORDS.get(name, name.lower())
