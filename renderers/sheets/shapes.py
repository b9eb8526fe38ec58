"""The boxes of the units of a page."""

from __future__ import annotations

from collections.abc import Mapping

from renderers.sheets.box import Box, Context, Ends
from renderers.sheets.bus import bus
from renderers.sheets.device import device_box
from renderers.sheets.inline import inline
from renderers.sheets.joints import arrow, ground, loose, splice
from renderers.sheets.units import Link, Scene, Sort, Unit

_SHAPES = {
    Sort.DEVICE: device_box,
    Sort.INLINE: inline,
    Sort.SPLICE: splice,
    Sort.GROUND: ground,
    Sort.BUS: bus,
    Sort.ARROW: arrow,
    Sort.LOOSE: loose,
}


def shape(unit: Unit, ends: Ends, context: Context, wish: Mapping[str, float]) -> Box:
    """The box of a unit; `wish` says where its links come from, left to right."""
    # Many drafts of a page show the same units in the same way: only the order of what comes matters.
    if unit.sort is not Sort.DEVICE and len(ends.top) < 2 and len(ends.bottom) < 2:
        wish = {}
    level = {x: number for number, x in enumerate(sorted(set(wish.values())))}
    places = {link: float(level[x]) for link, x in wish.items()}
    links = tuple(k.key for k in ends.top), tuple(k.key for k in ends.bottom)
    key = (unit.key, unit.sort, tuple(unit.cells), unit.upper, unit.brief, links, tuple(sorted(places.items())))
    box = context.cache.get(key)
    if box is None:
        box = context.cache[key] = _SHAPES[unit.sort](unit, ends, context._replace(wish=places))
    return box


def ends_of(scene: Scene) -> dict[str, Ends]:
    """The links of each unit by face."""
    found: dict[str, tuple[list[Link], list[Link]]] = {key: ([], []) for key in scene.units}
    for link in scene.links:
        for tip in link.tips:
            found[tip.unit][tip.face].append(link)
    return {key: Ends(tuple(top), tuple(bottom)) for key, (top, bottom) in found.items()}


def shapes(scene: Scene, context: Context, wishes: Mapping[str, Mapping[str, float]]) -> dict[str, Box]:
    """The boxes of all units; `wishes` by unit and link."""
    ends = ends_of(scene)
    return {key: shape(unit, ends[key], context, wishes.get(key, {})) for key, unit in scene.units.items()}
