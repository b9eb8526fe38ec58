"""The lines of a routed channel inside a box."""

from __future__ import annotations

from collections.abc import Collection

from renderers.sheets.ink import Disc, Shape, line
from renderers.sheets.route import Channel


def channel_ink(
    channel: Channel, top: float, low: float, first: float, pitch: float, bold: Collection[str] = ()
) -> list[Shape]:
    """Lines from `top` to `low`, the first track at `first`; a dot where more than two lines of one net meet. Nets in
    `bold` are traces of a board, drawn as wide lines."""
    ink: list[Shape] = [line((x, top), (x, low), width=_pen(key, bold)) for key, x in channel.straight.items()]
    height = {(t.net, column): first + t.track * pitch for t in channel.trunks for column in t.off}
    for trunk in channel.trunks:
        y = first + trunk.track * pitch
        pen = _pen(trunk.net, bold)
        if trunk.left != trunk.right:
            ink.append(line((trunk.left, y), (trunk.right, y), width=pen))
        ink += [line((x, top), (x, y), width=pen) for x in trunk.up]
        ink += [line((x, y), (x, low), width=pen) for x in trunk.down]
        ink += [line((x, y), (x, height[trunk.net, x]), width=pen) for x in trunk.on]
        above, below = {*trunk.up, *trunk.off}, {*trunk.down, *trunk.on}
        for x in sorted(above | below):
            ways = (x in above) + (x in below) + (x > trunk.left) + (x < trunk.right)
            if ways > 2:
                ink.append(Disc(x, y, 1.3 if pen < 1 else 1.7, 0.4, "#111111"))
    return ink


def _pen(net: str, bold: Collection[str]) -> float:
    return 1.5 if net in bold else 0.8
