"""A laid-out page as SVG."""

from __future__ import annotations

from collections.abc import Mapping
from xml.sax.saxutils import escape, quoteattr

from compiler.model.items import Point, Wire
from compiler.model.variant import Variant
from compiler.standards.colours import ColourError, WireColour, read_colour
from renderers.drawings.svg import FONT
from renderers.edges import edge_of
from renderers.sheets.box import Box
from renderers.sheets.cables import bundles, cable_marks
from renderers.sheets.ink import INK, Shape, Spot, moved, number, path, shown, svg
from renderers.sheets.layout import Layout
from renderers.sheets.measure import read_svg
from renderers.sheets.wire_label import label_ink

OUTLINE, CORE, TRACER = 3.0, 2.0, 0.9
# Dashes of a tracer and of its edges, which are a little longer at either end: by whether it is the only one, the first or
# the second.
_DASHES = (("5 4", "5.5 3.5", 0.25), ("3 6", "3.5 5.5", 0.25), ("0 4.5 3 1.5", "0 4.25 3.5 1.25", 0.0))
_BROAD, _EDGED = 1.1, 1.4  # a tracer that has edges, and the same with them
UNKNOWN = "#9AA0A6"


def wire_colour(wire: Wire, variant: Variant) -> WireColour | None:
    """The colour to draw a wire in, or None when it is not known."""
    if not wire.colour:
        return None
    try:
        return read_colour(wire.colour, variant.colours)
    except ColourError:
        return None


def wire_svg(points: tuple[Spot, ...], wire: Wire, variant: Variant) -> str:
    """A wire: dark outline, base colour, tracer in dashes."""
    data = path(points)
    colour = wire_colour(wire, variant)
    base = colour.base.rgb if colour else UNKNOWN
    parts = [f'<path d="{data}" stroke="{INK}" stroke-width="{number(OUTLINE)}"/>']
    parts.append(f'<path d="{data}" stroke="{base}" stroke-width="{number(CORE)}"/>')
    stripes = [c.rgb for c in (colour.tracer, colour.second) if c] if colour else []
    if colour and colour.base.stripe and not stripes:
        stripes = [colour.base.stripe]
    for rgb, (dash, longer, before) in zip(stripes, _DASHES if len(stripes) == 1 else _DASHES[1:], strict=False):
        wide = TRACER
        if edge := edge_of(base, rgb):
            wide = _BROAD
            parts.append(_dashed(data, edge, _EDGED, longer, before))
        parts.append(_dashed(data, rgb, wide, dash))
    return "".join(parts)


def _dashed(data: str, colour: str, width: float, dash: str, before: float = 0.0) -> str:
    offset = f' stroke-dashoffset="{number(before)}"' if before else ""
    return f'<path d="{data}" stroke="{colour}" stroke-width="{number(width)}" stroke-dasharray="{dash}"{offset}/>'


def draw(
    layout: Layout,
    variant: Variant,
    room: tuple[float, float],
    paper: tuple[float, float],
    offset: Spot,
    frame: list[Shape],
) -> str:
    """The SVG text of a page: drawing `room` units wide and high, printed on `paper` points, the layout at `offset`."""
    n = number
    width, height = room
    out = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{n(paper[0])}pt" height="{n(paper[1])}pt" '
            f'viewBox="0 0 {n(width)} {n(height)}" font-family={quoteattr(FONT)} fill="none" stroke-width="0.8">'
        ),
        f'<rect width="{n(width)}" height="{n(height)}" fill="#FFFFFF"/>',
        _group("frame", {}, frame),
    ]
    dx, dy = offset
    for link in layout.scene.links:
        points = tuple((x + dx, y + dy) for x, y in layout.lines[link.key])
        data = _data({"wire": link.wire.id, "circuit": link.wire.circuit})
        out.append(f'<g class="wire"{data} stroke-linejoin="round">{wire_svg(points, link.wire, variant)}</g>')
    for key, box in layout.boxes.items():
        x, y = layout.at[key]
        out.append(f'<g class="{box.kind}"{_whose(variant, box, layout.scene.units[key].wire)} stroke="{INK}">')
        out.append(_shapes(moved(box.ink, x + dx, y + dy)))
        for symbol in box.symbols:
            item = symbol.device if symbol.device != box.item else ""
            data = _data(
                {"item": item, "circuits": _circuits_of(variant, item), "part": symbol.names, "drawn": symbol.drawn}
            )
            out.append(f'<g class="symbol"{data}>{_shapes(moved(symbol.ink, x + dx, y + dy))}</g>')
        for mark in box.marks:
            data = _data({"terminal": mark.point, "half": mark.half, "circuit": _circuits(variant, mark.point)})
            out.append(f'<g class="terminal"{data}>{_shapes(moved(mark.ink, x + dx, y + dy))}</g>')
        out.append("</g>")
    for link in layout.scene.links:
        x, y = layout.labels[link.key]
        data = _data({"wire": link.wire.id, "circuit": link.wire.circuit})
        out.append(f'<g class="label"{data}>{_shapes(label_ink(x + dx, y + dy, link))}</g>')
    shown = {link.wire.id for link in layout.scene.links}
    if bundled := [bundle for bundle in bundles(variant) if shown.intersection(bundle.wires)]:
        # Marks stand where there is room for them on what has been drawn.
        out.append(_group("mark", {}, cable_marks(bundled, read_svg("".join((*out, "</svg>"))))))
    out.append("</svg>\n")
    return "".join(out)


def _whose(variant: Variant, box: Box, wire: Wire | None) -> str:
    """The data of a box: its item with the circuits that come to it; of an arrow or a loose end its wire."""
    if wire is not None:
        return _data({"wire": wire.id, "circuit": wire.circuit})
    return _data({"item": box.item, "circuits": _circuits_of(variant, box.item)})


def _circuits_of(variant: Variant, item: str) -> str:
    return " ".join(dict.fromkeys(w.circuit for w in variant.wires_of_item(item)))


def _circuits(variant: Variant, point: str) -> str:
    item, _, terminal = point.rpartition(".")
    points = [Point(item, terminal, half) for half in (0, 1)] if item else [Point(point, "", 0)]
    return " ".join(dict.fromkeys(w.circuit for p in points for w in variant.wires_at(p)))


def _data(pairs: Mapping[str, str]) -> str:
    return "".join(f" data-{name}={quoteattr(shown(text))}" for name, text in pairs.items() if text)


def _shapes(shapes: list[Shape]) -> str:
    words = [s for s in shapes if s.__class__.__name__ == "Words"]
    rest = [s for s in shapes if s.__class__.__name__ != "Words"]
    text = "".join(svg(s) for s in rest)
    if words:
        text += f'<g fill="{INK}" stroke="none">' + "".join(svg(s) for s in words) + "</g>"
    return text


def _group(name: str, data: Mapping[str, str], shapes: list[Shape]) -> str:
    return f'<g class="{name}"{_data(data)} stroke="{INK}">{_shapes(shapes)}</g>'


__all__ = ["draw", "escape"]
