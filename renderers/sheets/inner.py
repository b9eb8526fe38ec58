"""The lines of a routed channel inside a box."""

from __future__ import annotations

from renderers.sheets.ink import Disc, Shape, line
from renderers.sheets.route import Channel


def channel_ink(channel: Channel, top: float, low: float, first: float, pitch: float) -> list[Shape]:
    """Lines from `top` to `low`, the first track at `first`; a dot where more than two lines of one net meet."""
    ink: list[Shape] = [line((x, top), (x, low)) for x in channel.straight.values()]
    height = {(t.net, column): first + t.track * pitch for t in channel.trunks for column in t.off}
    for trunk in channel.trunks:
        y = first + trunk.track * pitch
        if trunk.left != trunk.right:
            ink.append(line((trunk.left, y), (trunk.right, y)))
        ink += [line((x, top), (x, y)) for x in trunk.up]
        ink += [line((x, y), (x, low)) for x in trunk.down]
        ink += [line((x, y), (x, height[trunk.net, x])) for x in trunk.on]
        above, below = {*trunk.up, *trunk.off}, {*trunk.down, *trunk.on}
        for x in sorted(above | below):
            ways = (x in above) + (x in below) + (x > trunk.left) + (x < trunk.right)
            if ways > 2:
                ink.append(Disc(x, y, 1.3, 0.4, "#111111"))
    return ink
