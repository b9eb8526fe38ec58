"""All sheets of a variant."""

from __future__ import annotations

from collections.abc import Mapping

from compiler.model.items import Wire
from compiler.model.variant import Variant
from renderers.sheets.box import Context
from renderers.sheets.draw import draw
from renderers.sheets.figure import SheetFigure
from renderers.sheets.frame import AIR, EDGE, LANDSCAPE, PORTRAIT, Titles, frame_ink, zone_of
from renderers.sheets.layout import Layout, lay_out
from renderers.sheets.plan import PagePlan, plan_pages
from renderers.sheets.potential import potentials
from renderers.sheets.units import build_scene


def draw_sheets(variant: Variant, dot: str | None = None) -> Mapping[str, SheetFigure]:
    """Every sheet of a variant as a figure, by sheet number and page, in sheet order.

    `dot` names a Graphviz program; the built-in one gives the same output on every machine. Raises DotError.
    """
    level = potentials(variant)
    pages = plan_pages(variant)
    on: dict[str, list[str]] = {}
    for page in pages:
        for wire in page.wires:
            on.setdefault(wire.id, []).append(page.name)
    figures: dict[str, SheetFigure] = {}
    for page in pages:
        scene = build_scene(variant, page.wires, page.components, level)

        def sheets_of_wire(wire: Wire, here: str = page.name) -> list[str]:
            return [name for name in on.get(wire.id, ()) if name != here]

        def sheets_of_item(item: str, here: PagePlan = page) -> list[str]:
            wires = variant.wires_of_item(item)
            return [n for n in dict.fromkeys(n for w in wires for n in on.get(w.id, ())) if n != here.name]

        layout = lay_out(scene, Context(variant, sheets_of_wire, sheets_of_item, {}), dot)
        figures[page.name] = _figure(variant, page, layout)
    return figures


def _figure(variant: Variant, page: PagePlan, layout: Layout) -> SheetFigure:
    scale = {p: min(1.0, p.inside[0] / max(layout.width, 1), p.inside[1] / max(layout.height, 1)) for p in (LANDSCAPE, PORTRAIT)}
    paper = max(scale, key=lambda p: (scale[p], p is LANDSCAPE))
    factor = scale[paper]
    wide, high = paper.width / factor, paper.height / factor
    header = variant.header
    titles = Titles(f"{header.id}  {header.title}".strip(), " ".join(t for t in (header.series, header.model_year) if t), page.name, page.title, header.issue)
    room = (wide - 2 * (EDGE + AIR), high - 2 * (EDGE + AIR) - 24)
    offset = (EDGE + AIR + max(0.0, (room[0] - layout.width) / 2), EDGE + AIR)
    svg = draw(layout, variant, wide, high, (paper.width, paper.height), offset, frame_ink(wide, high, titles))
    places = {}
    for key, box in layout.boxes.items():
        if box.item:
            x, y = layout.at[key]
            places.setdefault(box.item, zone_of(x + offset[0] + 6, y + offset[1] + 6, wide, high))
    alt = f"Wiring sheet {page.name}, {page.title}: circuits {', '.join(dict.fromkeys(w.circuit for w in page.wires))}"
    return SheetFigure(page.name, page.title, svg, paper.width, paper.height, alt, page.number, places, layout.dot)
