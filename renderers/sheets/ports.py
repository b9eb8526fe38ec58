"""The order of terminals on boxes: swept from rank to rank until as few wires cross as is found.

Boxes stay where they are. On the way down each box takes the order of its terminals from where their wires come from
above, on the way up from below, as far as the box allows (barycentres, Sugiyama, Tagawa and Toda 1981, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from renderers.sheets.box import BOTTOM, TOP, Box, Context
from renderers.sheets.place import Placement
from renderers.sheets.shapes import ends_of, shape
from renderers.sheets.units import Scene, Sort

SWEEPS = (TOP, BOTTOM, TOP, BOTTOM)  # the faces whose wires give the order


class _End(NamedTuple):
    """An end of a link at a unit: the face, the cavity of an in-line connector, and what the link's leg leads to."""

    link: str
    face: int
    cavity: str
    far: tuple[str, int]


def with_ports_in_order(
    scene: Scene, placement: Placement, boxes: Mapping[str, Box], context: Context
) -> dict[str, Box]:
    """The boxes with terminals in the best order found; the same boxes if none is better."""
    best = now = dict(boxes)
    least = crossings(placement, best)
    ends, at = ends_of(scene), _ends(scene, placement)
    for face in SWEEPS:
        now = dict(now)
        for rank in placement.ranks if face == TOP else placement.ranks[::-1]:
            for spot in rank:
                if not spot.link and (wish := _wish(at.get(spot.key, []), face, placement, now)):
                    now[spot.key] = shape(scene.units[spot.key], ends[spot.key], context, wish)
        count = crossings(placement, now)
        if count < least:
            best, least = now, count
    return best


def _ends(scene: Scene, placement: Placement) -> dict[str, list[_End]]:
    """The ends of links at each unit."""
    found: dict[str, list[_End]] = {}
    for link in scene.links:
        legs = placement.legs[link.key]
        for tip, far in ((link.upper, legs[0].b), (link.lower, legs[-1].a)):
            inline = scene.units[tip.unit].sort is Sort.INLINE
            cavity = tip.point.terminal if inline and tip.point else ""
            found.setdefault(tip.unit, []).append(_End(link.key, tip.face, cavity, far))
    return found


def _wish(ends: list[_End], face: int, placement: Placement, boxes: Mapping[str, Box]) -> dict[str, float]:
    """Where the links of a unit come from: for each cavity those on one face, or on the other if it has none there."""
    sure = {end.cavity for end in ends if end.face == face} - {""}
    return {
        end.link: float(pin_of(placement, boxes, end.far, end.link))
        for end in ends
        if end.face == face or end.cavity not in sure
    }


def port_order(boxes: Mapping[str, Box]) -> list[tuple[str, ...]]:
    """The links of each box from left to right, those on its upper face first."""
    return [tuple(p.link for p in sorted(box.ports, key=lambda p: (p.face, p.x))) for box in boxes.values()]


def crossings(placement: Placement, boxes: Mapping[str, Box]) -> int:
    """How many pairs of legs must cross in their channel, whatever the tracks."""
    channels: dict[int, list[tuple[int, int]]] = {}
    for legs in placement.legs.values():
        for leg in legs:
            if leg.a[1] == BOTTOM and leg.b[1] == TOP:
                ends = (pin_of(placement, boxes, leg.a, leg.link), pin_of(placement, boxes, leg.b, leg.link))
                channels.setdefault(leg.channel, []).append(ends)
    return sum(
        (a - c) * (b - d) < 0
        for pairs in channels.values()
        for index, (a, b) in enumerate(pairs)
        for c, d in pairs[index + 1 :]
    )


def pin_of(placement: Placement, boxes: Mapping[str, Box], end: tuple[str, int], link: str, nth: int = 0) -> int:
    """The column of an end of a leg; `nth` if a link ends twice on one face."""
    spot = placement.spots[end[0]]
    if spot.link:
        return spot.axis
    ports = [p for p in boxes[end[0]].ports if p.link == link and p.face == end[1]]
    return spot.x + ports[min(nth, len(ports) - 1)].x
