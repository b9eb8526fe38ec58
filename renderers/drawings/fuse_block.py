"""A fuse block drawn slot by slot: what stands where, in slot order.

The source gives slot names, not the block's moulding, so the drawing is a plan of the order and says so.
"""

from __future__ import annotations

from collections.abc import Sequence

from compiler.model.items import Device, FuseBlock
from compiler.standards.fuses import colour_of
from renderers.context import PackContext
from renderers.document import Figure
from renderers.drawings import svg
from renderers.sheets.labels import shorten, wrap
from renderers.swatches import named_swatch
from renderers.text import anchor, number

_WIDTH, _HEIGHT, _GAP = 66.0, 52.0, 5.0
_COLUMNS, _FULL = 7, 49
_MARGIN = 6.0


def draw_block(context: PackContext, block: FuseBlock, devices: Sequence[Device]) -> tuple[Figure, ...]:
    """The figures of a block, several for one too large for a page; `devices` are its parts in slot order."""
    parts = (devices[at : at + _FULL] for at in range(0, len(devices), _FULL))
    return tuple(_figure(context, block, part, number) for number, part in enumerate(parts))


def _figure(context: PackContext, block: FuseBlock, devices: Sequence[Device], number: int) -> Figure:
    columns = min(_COLUMNS, max(1, len(devices)))
    lines = -(-len(devices) // columns)
    width = columns * _WIDTH + (columns - 1) * _GAP + 2 * _MARGIN
    height = lines * _HEIGHT + (lines - 1) * _GAP + 2 * _MARGIN
    frame: dict[str, str | float] = {"x": 0.5, "y": 0.5, "width": width - 1, "height": height - 1, "rx": 4}
    parts = [svg.element("rect", {**frame, "fill": "#fff", "stroke": "#000", "stroke-width": 1})]
    for place, device in enumerate(devices):
        line, column = divmod(place, columns)
        x = _MARGIN + column * (_WIDTH + _GAP)
        y = _MARGIN + line * (_HEIGHT + _GAP)
        parts.append(_slot(context, device, x, y))
    alt = f"Fuse block {block.id} in slot order: " + "; ".join(_words(device) for device in devices)
    title = "Drawn in slot order; not to scale."
    name = f"block-{anchor('item', block.id)}{f'-{number}' if number else ''}"
    return Figure(name, title, svg.drawing(width, height, parts), width, height, alt)


def _words(device: Device) -> str:
    slot = device.word("slot")
    amps = device.ratings.get("current")
    rating = f" {number(amps)} A" if amps is not None else ""
    return f"{f'slot {slot} ' if slot else ''}{device.id}{rating}"


def _slot(context: PackContext, device: Device, x: float, y: float) -> str:
    small = 7.0
    amps = device.ratings.get("current")
    inner = _WIDTH - 6
    parts = [
        svg.element(
            "rect",
            {
                "x": x,
                "y": y,
                "width": _WIDTH,
                "height": _HEIGHT,
                "rx": 2,
                "fill": "#fff",
                "stroke": "#000",
                "stroke-width": 0.6,
            },
        )
    ]
    colour = _colour(device, amps)
    if colour:
        band: dict[str, str | float] = {"x": x + 3, "y": y + _HEIGHT - 8, "width": inner, "height": 5}
        parts.append(svg.element("rect", {**band, "fill": colour, "stroke": "#000", "stroke-width": 0.4}))
    slot = device.word("slot")
    if slot:
        parts.append(svg.text(x + 3, y + 9, shorten(slot, 18, small), small, fill="#444"))
    identity = shorten(device.id, inner - (20 if slot else 0), 8, bold=True)
    parts.append(svg.text(x + _WIDTH - 3, y + 10, identity, 8, text_anchor="end", font_weight="bold"))
    rating = f"{number(amps)} A" if amps is not None else context.kind_title(device)
    parts.append(svg.text(x + _WIDTH / 2, y + 22, shorten(rating, inner, 8), 8, text_anchor="middle"))
    for line, title in enumerate(wrap(device.title, inner, small, most=2)):
        parts.append(svg.text(x + _WIDTH / 2, y + 31.5 + 7.5 * line, title, small, text_anchor="middle"))
    return svg.element("g", {"data-item": device.id}, "".join(parts))


def _colour(device: Device, amps: float | None) -> str:
    """The colour band of a fuse, or empty."""
    word = device.word("colour")
    if not word and device.kind == "fuse" and amps is not None and device.word("type"):
        try:
            words = colour_of(device.word("type"), amps)
        except KeyError:
            words = None
        word = words[0] if words else ""
    swatch = named_swatch(word) if word else None
    return swatch.base if swatch else ""
