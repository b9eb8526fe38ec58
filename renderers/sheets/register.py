"""Where each end of each wire is drawn: what arrows and `see sheet` are written from."""

from __future__ import annotations

from collections.abc import Iterable

from compiler.model.variant import Variant
from renderers.sheets.distribution import GROUND, POWER
from renderers.text import natural_key


class Register:
    """Pages by the wire ends (0 or 1) that they show. `early`: while sheets are not cut into pages; names then are as
    long as that of a further page, so that there is room for it."""

    def __init__(self, early: bool = False) -> None:
        self.early = early
        self._on: dict[str, list[tuple[str, int]]] = {}

    def add(self, name: str, wires: Iterable[str], cuts: Iterable[tuple[str, int]] = ()) -> None:
        """Note a page with the wires that it shows whole, and those of which it shows one end."""
        for wire in wires:
            self._on.setdefault(wire, []).extend([(name, 0), (name, 1)])
        for wire, side in cuts:
            self._on.setdefault(wire, []).append((name, side))

    def page(self, here: str, wire: str, far: int) -> str:
        """For a page: the other page that shows an end of a wire; of its own sheet if there is one."""
        on = self._on.get(wire, ())
        found = [name for name, side in on if side == far and name != here]
        if not found:
            return f"{here} (2)" if on else ""
        own = sheet_of(here)
        name = next((n for n in found if sheet_of(n) == own), found[0])
        return f"{name} (2)" if self.early else name

    def sheets(self, variant: Variant, item: str) -> tuple[str, ...]:
        """The sheets on which an item stands. Grounds and buses stand where all their wires do."""
        if item in variant.grounds:
            return (GROUND,)
        if item in variant.buses:
            return (POWER,)
        names = {sheet_of(n) for w in variant.wires_of_item(item) for n, _ in self._on.get(w.id, ())}
        return tuple(sorted(names, key=natural_key))


def sheet_of(page: str) -> str:
    """The number of the sheet that a page belongs to."""
    return page.partition(" (")[0]
