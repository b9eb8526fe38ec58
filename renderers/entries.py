"""What can be looked up in a pack: one entry for each thing that has an id, and for each complaint that has a chart."""

from __future__ import annotations

import re
from collections.abc import Iterator

from compiler.model.items import Connector, Device, Located
from renderers.context import PackContext
from renderers.document import Entry
from renderers.text import anchor, natural_key

_WORDS = {"FuseBlock": "fuse block", "Bus": "bus"}

SHEET = "wiring sheet"
CODE, COMPLAINT = "trouble code", "complaint"
CHARTED = frozenset({CODE, COMPLAINT})
"""What an entry is that leads to a fault chart."""

# Words of a complaint that nobody looks it up by: small ones, sides, and what every second complaint says.
_PLAIN = frozenset(
    "a an and are as at be both but by does for from high if in into is it its left lights lit low never no not of off"
    " on one only open opens or out over rear right runs short sides since so sounds stands stay stays stops than that"
    " the then to too turn under up when where wherever which while with without work works you always circuit down"
    " front full ground high-side low-side"
    .split()
)  # fmt: skip
_WORD = re.compile(r"[^\W\d_][\w-]*")


def entries(context: PackContext) -> tuple[Entry, ...]:
    """Entries of items, circuits, sheets, zones, complaints and trouble codes, by id; a complaint has none."""
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
        Entry(figure.title or f"Sheet {name}", name, SHEET, anchor("sheet", name), (name,))
        for name, figure in context.sheets.items()
    ]
    found += [Entry(z.title or z.id, z.id, "zone", anchor("zone", z.id), ()) for z in variant.zones.values()]
    found += _complaints(context)
    return tuple(sorted(found, key=lambda entry: (natural_key(entry.id), entry.what, natural_key(entry.term))))


def _complaints(context: PackContext) -> Iterator[Entry]:
    for complaint, chart in context.charted.at.items():
        if complaint.sort == "code":
            title = complaint.title.removeprefix(complaint.subject).strip()
            yield Entry(title or complaint.subject, complaint.subject, CODE, chart.id, ())
        else:
            yield Entry(complaint.title, "", COMPLAINT, chart.id, ())


def words_of(title: str) -> tuple[str, ...]:
    """The words that a complaint is looked up by beside its first, as they begin a line of an index."""
    found = (word for word in _WORD.findall(title)[1:] if len(word) > 2 and word.casefold() not in _PLAIN)
    return tuple(dict.fromkeys(map(_as_first, found)))


def _as_first(word: str) -> str:
    """A word with a capital, where there is one letter that is it: of `ß` there is none."""
    capital = word[0].upper()
    return f"{capital if len(capital) == 1 else word[0]}{word[1:]}"


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
