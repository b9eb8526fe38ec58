"""All sheets of a variant."""

from __future__ import annotations

from collections.abc import Mapping

from compiler.model.variant import Variant
from renderers.sheets.dot import Runner, answered, run_dot
from renderers.sheets.draw import draw
from renderers.sheets.figure import SheetFigure
from renderers.sheets.frame import AIR, BLOCK, EDGE, Titles, frame_ink, zone_of
from renderers.sheets.ink import Blade, Stroke
from renderers.sheets.pages import Paginator, SheetPage
from renderers.sheets.plan import plan_sheets
from renderers.sheets.potential import potentials


def draw_sheets(variant: Variant, dot: str | None = None, run: Runner = run_dot) -> Mapping[str, SheetFigure]:
    """Every sheet of a variant as figures, one a page, by sheet number and page, in sheet order.

    `dot` names a Graphviz program; the built-in one gives the same output on every machine. `run` is
    how dot is asked. Raises DotError.
    """
    pages = answered(Paginator(variant, potentials(variant)).pages(plan_sheets(variant)), dot, run)
    return {page.name: figure_of(variant, page) for page in pages}


def figure_of(variant: Variant, page: SheetPage) -> SheetFigure:
    """A page as a figure."""
    layout, paper, plan = page.layout, page.paper, page.plan
    wide, high = paper.width / page.scale, paper.height / page.scale
    header = variant.header
    titles = Titles(
        f"{header.id}  {header.title}".strip(),
        " ".join(t for t in (header.series, header.model_year) if t),
        plan.number,
        plan.title,
        header.issue,
        f"page {page.of[0]} of {page.of[1]}" if page.of[1] > 1 else "",
        plan.system,
        plan.see,
    )
    room = wide - 2 * (EDGE + AIR), high - 2 * (EDGE + AIR) - BLOCK
    offset = (EDGE + AIR + max(0.0, (room[0] - layout.width) / 2), EDGE + AIR + max(0.0, (room[1] - layout.height) / 4))
    svg = draw(layout, variant, (wide, high), (paper.width, paper.height), offset, frame_ink(wide, high, titles))
    places: dict[str, str] = {}
    for key, box in layout.boxes.items():
        x, y = layout.at[key][0] + offset[0], layout.at[key][1] + offset[1]
        if box.item:
            places.setdefault(box.item, zone_of(x + 6, y + 6, wide, high))
        # A bus may be as wide as the sheet: each of its fuses is found by itself, a little above its terminal.
        for mark in box.marks if box.item in variant.buses else ():
            device = mark.point.rpartition(".")[0]
            if device in variant.devices:
                first = mark.ink[0]
                dx, dy = first.points[0] if isinstance(first, Stroke | Blade) else (first.x, first.y)
                places.setdefault(device, zone_of(x + dx, y + dy - 12, wide, high))
    circuits = ", ".join(dict.fromkeys(w.circuit for w in page.content.wires))
    alt = f"Wiring sheet {page.name}, {plan.title}: circuits {circuits}"
    return SheetFigure(
        page.name, plan.title, svg, paper.width, paper.height, alt, plan.number, places, layout.dot, titles
    )
