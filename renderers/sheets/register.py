"""Where each end of each wire is drawn, and where each thing stands: what arrows and `see sheet` are written from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from compiler.changes.drawn import sheet_of
from compiler.model.variant import Variant
from renderers.sheets.split import MANY
from renderers.sheets.units import sits_on_bus
from renderers.text import natural_key

_BUS_PAGES, _GROUND_PAGES = 3, 2  # for so many names of pages there is room at a bus, and at a ground


class Register:
    """Pages by the wire ends (0 or 1) that they show. `early`: while sheets are not cut into pages; names then are as
    long as that of a further page, so that there is room for it."""

    def __init__(self, variant: Variant, early: bool = False) -> None:
        self.variant = variant
        self.early = early
        self._on: dict[str, list[tuple[str, int]]] = {}
        # Whether of the tool's own sheets -> item -> page -> how many ends of wires it shows there.
        self._stands: dict[bool, dict[str, dict[str, int]]] = {False: {}, True: {}}

    def add(self, name: str, wires: Iterable[str], cuts: Iterable[tuple[str, int]] = (), extra: bool = False) -> None:
        """Note a page with the wires that it shows whole, and those of which it shows one end. `extra`: the tool shows it
        of its own accord, and no arrow leads there."""
        stands = self._stands[extra]
        for wire, side in (*((wire, side) for wire in wires for side in (0, 1)), *cuts):
            if not extra:
                self._on.setdefault(wire, []).append((name, side))
            for item in self._items(wire, side):
                pages = stands.setdefault(item, {})
                pages[name] = pages.get(name, 0) + 1

    def _items(self, wire: str, side: int) -> Iterator[str]:
        """What is drawn for the sake of a wire's end: what it ends at, the component behind a plug, the bus of a fuse."""
        variant = self.variant
        point = variant.wire_by_id[wire].ends[side].point
        if point is None:
            return
        connector = variant.connectors.get(point.item)
        item = connector.device if connector is not None and connector.device else point.item
        yield item
        device = variant.devices.get(item)
        if device is not None and sits_on_bus(variant, device):
            yield device.bus

    def page(self, here: str, wire: str, far: int) -> str:
        """For a page: the other page that shows an end of a wire; of its own sheet if there is one."""
        on = self._on.get(wire, ())
        found = [name for name, side in on if side == far and name != here]
        if not found:
            return f"{here} (2)" if on else ""
        own = sheet_of(here)
        name = next((n for n in found if sheet_of(n) == own), found[0])
        return f"{name} (2)" if self.early else name

    def elsewhere(self, here: str, item: str) -> tuple[str, ...]:
        """The pages besides `here` on which an item stands, in order: of a ground or bus those of the tool's own sheets,
        where these show it. Early, as many names as there is to be room for."""
        pages = self._pages(item)
        names = [n for page, ends in pages.items() for n in (self._room(here, item, page, ends) if self.early else (page,))]
        return tuple(sorted((name for name in names if name != here), key=natural_key))

    def _pages(self, item: str) -> Mapping[str, int]:
        shared = item in self.variant.grounds or item in self.variant.buses
        return (self._stands[True].get(item) if shared else None) or self._stands[False].get(item, {})

    def _room(self, here: str, item: str, sheet: str, ends: int) -> Iterator[str]:
        """Names of pages of a sheet for which there is to be room: one, or some where the item may be drawn on several."""
        if item in self.variant.buses:
            count = min(ends, _BUS_PAGES)
        elif item in self.variant.grounds:
            count = min(ends, _GROUND_PAGES)
        else:
            count = 2 if ends > MANY else 1
        # Names of pages that do not follow each other are the longest.
        yield from (f"{sheet} ({2 * place})" for place in range(1, count + (sheet != here)))
