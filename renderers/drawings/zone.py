"""A zone's outline with a call-out for every thing in it.

Labels stand in two columns beside the outline, sorted down the page, so that none overlaps another; a thin line
leads from each to its point.
"""

from __future__ import annotations

from collections.abc import Sequence

from compiler.model.items import Located, Zone
from renderers.document import Figure
from renderers.drawings import svg
from renderers.sheets.labels import shorten
from renderers.text import anchor

_OUTLINE = 250.0  # width of the outline on the page, points
_LABEL = 116.0
_STEP = 9.6
_SIZE = 7.0
_GAP = 14.0
_TALLEST = 560.0
_Spot = tuple[float, float, Located]


def draw_zone(zone: Zone, items: Sequence[Located]) -> Figure:
    """The figure of a zone; items without a point are left to the list below it."""
    scale = min(_OUTLINE / zone.width, _TALLEST / zone.height) if zone.width > 0 and zone.height > 0 else 1.0
    wide, high = max(zone.width * scale, 20.0), max(zone.height * scale, 20.0)
    spots: list[_Spot] = []
    for item in items:
        point = item.place.point if item.place else None
        if point is not None:
            # A point beyond the outline is a finding of the checks; here it is drawn at the edge.
            spots.append((min(max(point[0] * scale, 0.0), wide), min(max(point[1] * scale, 0.0), high), item))
    left, right = _sides(spots, wide)
    tall = max(high, _STEP * len(left), _STEP * len(right)) + 2 * _STEP
    top = (tall - high) / 2
    edge = _LABEL + _GAP
    width = wide + 2 * edge
    box: dict[str, str | float] = {"x": edge, "y": top, "width": wide, "height": high, "rx": 3}
    parts = [svg.element("rect", {**box, "fill": "#f7f7f7", "stroke": "#000", "stroke-width": 0.8})]
    for side, spots_of_side in (("left", left), ("right", right)):
        for y, spot in zip(_heights(spots_of_side, top, tall), spots_of_side, strict=True):
            parts.append(_call_out(side, y, spot, edge, top, wide))
    named = ", ".join(item.id for _, _, item in spots)
    title = f"{zone.title or zone.id}: outline and points, not to scale."
    alt = f"Outline of zone {zone.title or zone.id} with call-outs to {named}"
    return Figure(f"figure-{anchor('zone', zone.id)}", title, svg.drawing(width, tall, parts), width, tall, alt)


def _sides(spots: list[_Spot], wide: float) -> tuple[list[_Spot], list[_Spot]]:
    """Spots for the left and right column: by half, then evened out so that neither runs far longer."""
    by_x = sorted(spots, key=lambda spot: (spot[0], spot[1], spot[2].id))
    middle = sum(spot[0] <= wide / 2 for spot in by_x)
    half = len(by_x) / 2
    split = round(min(max(middle, half * 0.7), half * 1.3)) if len(by_x) > 1 else middle
    return sorted(by_x[:split], key=_down), sorted(by_x[split:], key=_down)


def _down(spot: _Spot) -> tuple[float, float, str]:
    return (spot[1], spot[0], spot[2].id)


def _heights(spots: list[_Spot], top: float, tall: float) -> list[float]:
    """Heights of the labels: each as near its point as a step between neighbours allows, all on the drawing."""
    heights: list[float] = []
    for _, y, _ in spots:
        wanted = top + y
        heights.append(max(wanted, heights[-1] + _STEP) if heights else max(wanted, _STEP))
    limit = tall - _STEP / 2
    for index in range(len(heights) - 1, -1, -1):
        heights[index] = min(heights[index], limit)
        limit = heights[index] - _STEP
    return heights


def _call_out(side: str, y: float, spot: _Spot, edge: float, top: float, wide: float) -> str:
    x, down, item = spot
    at = (edge + x, top + down)
    start = edge - _GAP if side == "left" else edge + wide + _GAP
    bend = edge - 3 if side == "left" else edge + wide + 3
    line = f"M{svg.number(start)} {svg.number(y)}H{svg.number(bend)}L{svg.number(at[0])} {svg.number(at[1])}"
    words = f"{item.id}  {item.title}".rstrip()
    label = shorten(words, _LABEL - 4, _SIZE)
    along = start - 2 if side == "left" else start + 2
    parts = [
        svg.element("path", {"d": line, "fill": "none", "stroke": "#555", "stroke-width": 0.4}),
        svg.element(
            "circle", {"cx": at[0], "cy": at[1], "r": 1.9, "fill": "#000", "stroke": "#fff", "stroke-width": 0.6}
        ),
        svg.text(along, y + _SIZE * 0.35, label, _SIZE, text_anchor="end" if side == "left" else "start"),
    ]
    return svg.element("g", {"data-item": item.id}, "".join(parts))
