"""Where things stand on a page: the zones of the frame in which their ids are read."""

from __future__ import annotations

from collections.abc import Container, Mapping

from renderers.sheets.frame import zone_of
from renderers.sheets.ink import Spot, Words
from renderers.sheets.labels import width
from renderers.sheets.layout import Layout

_TO_MIDDLE = {"start": 0.5, "middle": 0.0, "end": -0.5}  # of its width, from where a line of text is anchored


def places_of(layout: Layout, items: Container[str], offset: Spot, room: tuple[float, float]) -> Mapping[str, str]:
    """Item -> zones of the frame in which its id stands, first of each box that names it: where a reader looks for it, be
    its bar or body ever so wide. `C4+D6` for what is drawn at two places.

    items   ids of what has a place
    offset  of the layout on the page
    room    width and height of the page in units of the drawing
    """
    found: dict[str, set[str]] = {}
    for key, box in layout.boxes.items():
        x, y = layout.at[key][0] + offset[0], layout.at[key][1] + offset[1]
        own: dict[str, str] = {}
        for words in box.ink if box.item else ():
            if isinstance(words, Words) and words.bold and words.text in items:
                middle = words.x + _TO_MIDDLE[words.anchor] * width(words.text, words.size, True)
                own.setdefault(words.text, zone_of(x + middle, y + words.y - words.size / 3, *room))
        for item, zone in own.items():
            found.setdefault(item, set()).add(zone)
    return {item: "+".join(sorted(zones)) for item, zones in found.items()}
