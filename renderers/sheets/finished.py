"""A page as a figure: drawn in its frame, with zones where its items stand, and words for those who cannot see it."""

from __future__ import annotations

from renderers.sheets.draw import draw
from renderers.sheets.figure import SheetFigure
from renderers.sheets.frame import AIR, BLOCK, EDGE, Titles, frame_ink
from renderers.sheets.layout import Layout
from renderers.sheets.pages import SheetPage
from renderers.sheets.sight import View
from renderers.sheets.standing import places_of


def figure_of(view: View, page: SheetPage, layout: Layout, name: str, of: tuple[int, int]) -> SheetFigure:
    """The figure of a page of a sheet, with its layout as it is to be drawn. `of`: which page, of how many."""
    variant, plan, paper = view.variant, view.plan, page.paper
    wide, high = paper.width / page.scale, paper.height / page.scale
    header = variant.header
    titles = Titles(
        f"{header.id}  {header.title}".strip(),
        " ".join(t for t in (header.series, header.model_year) if t),
        name,
        plan.title,
        header.issue,
        f"page {of[0]} of {of[1]}" if of[1] > 1 else "",
        plan.system,
    )
    room = wide - 2 * (EDGE + AIR), high - 2 * (EDGE + AIR) - BLOCK
    offset = (EDGE + AIR + max(0.0, (room[0] - layout.width) / 2), EDGE + AIR + max(0.0, (room[1] - layout.height) / 4))
    svg = draw(layout, variant, (wide, high), (paper.width, paper.height), offset, frame_ink(wide, high, titles))
    places = places_of(layout, variant.items, offset, (wide, high))
    circuits = ", ".join(dict.fromkeys(w.circuit for w in page.content.wires))
    alt = f"Wiring sheet {name}, {plan.title}: circuits {circuits}"
    return SheetFigure(name, plan.title, svg, paper.width, paper.height, alt, plan.number, places, layout.dot, titles)
