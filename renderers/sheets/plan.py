"""Which wires stand on which page."""

from __future__ import annotations

from dataclasses import dataclass

from compiler.model.items import Wire
from compiler.model.variant import Variant


@dataclass(frozen=True, slots=True)
class PagePlan:
    """One page: `name` is the sheet's number, with the page where a sheet has several."""

    name: str
    number: str
    title: str
    wires: tuple[Wire, ...]
    components: tuple[str, ...]
    see: tuple[str, ...]


def plan_pages(variant: Variant) -> list[PagePlan]:
    """The pages of a variant, in sheet order."""
    pages = []
    for sheet in variant.sheets.values():
        circuits = dict.fromkeys(word.text for word, _ in sheet.circuits)
        wires = tuple(w for c in circuits for w in variant.wires_of_circuit(c))
        pages.append(
            PagePlan(sheet.id, sheet.id, sheet.title, wires, tuple(w.text for w, _ in sheet.components), tuple(w.text for w, _ in sheet.see))
        )
    return pages
