"""A page's geometry: boxes placed, channels routed, every link a line of points."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from renderers.sheets.box import BOTTOM, LABEL_ROOM, TOP, Box, Context, Ends
from renderers.sheets.device import device_box
from renderers.sheets.dot import Asking
from renderers.sheets.ink import Spot as XY
from renderers.sheets.joints import arrow, ground, loose, splice
from renderers.sheets.place import (
    Leg,
    Placement,
    placement_graph,
    placement_of,
    read_placement,
    read_sketch,
    sketch_graph,
)
from renderers.sheets.route import Channel, Net, route
from renderers.sheets.rows import bus, inline
from renderers.sheets.straighten import straighten
from renderers.sheets.units import Link, Scene, Sort, Unit

TRACK = 6.5  # between tracks
AIR = 4.5  # above the first and below the last track

_SHAPES = {
    Sort.DEVICE: device_box,
    Sort.INLINE: inline,
    Sort.SPLICE: splice,
    Sort.GROUND: ground,
    Sort.BUS: bus,
    Sort.ARROW: arrow,
    Sort.LOOSE: loose,
}


@dataclass(slots=True)
class Layout:
    """A page laid out. `at`: upper left corner of each box; `lines`: points of each link, from its upper end;
    `labels`: where each link's label hangs."""

    scene: Scene
    boxes: dict[str, Box]
    at: dict[str, XY]
    lines: dict[str, tuple[XY, ...]]
    labels: dict[str, XY]
    width: float
    height: float
    dot: str


def shape(unit: Unit, scene: Scene, context: Context) -> Box:
    """The box of a unit."""
    tops: list[Link] = []
    bottoms: list[Link] = []
    for link in scene.links:
        for tip in link.tips:
            if tip.unit == unit.key:
                found = bottoms if tip.face == BOTTOM else tops
                if link not in found:
                    found.append(link)
    return _SHAPES[unit.sort](unit, Ends(tuple(tops), tuple(bottoms)), context)


def lay_out(scene: Scene, context: Context, widest: float = 0.0) -> Asking[Layout]:
    """Lay a scene out; ranks wider than `widest` are dealt out over several."""
    boxes = {key: shape(unit, scene, context) for key, unit in scene.units.items()}
    (answer,) = yield (sketch_graph(scene, boxes),)
    ranks, middle = read_sketch(scene, answer)
    if widest:
        ranks = narrowed(ranks, scene, {key: box.width for key, box in boxes.items()}, widest)
    context = context._replace(wish=wishes(scene, middle))
    boxes = {key: shape(unit, scene, context) for key, unit in scene.units.items()}
    placement = placement_of(scene, boxes, ranks)
    graph = placement_graph(placement, boxes)
    (answer,) = yield (graph,)
    read_placement(placement, answer)
    straighten(placement, boxes)
    placement.push_left()
    return _measure_out(scene, boxes, placement, graph)


def narrowed(ranks: Mapping[str, int], scene: Scene, widths: Mapping[str, int], widest: float) -> dict[str, int]:
    """Ranks in which no row of boxes and passing wires is wider than `widest`, where it can be helped.

    What is moved to a row of its own below: boxes that nothing hangs on first, for they move no wire.
    """
    ranks = dict(ranks)
    rank = 0
    while rank <= max(ranks.values()):
        row = [key for key in ranks if ranks[key] == rank]
        passing = sum(ranks[k.upper.unit] < rank < ranks[k.lower.unit] for k in scene.links)
        total = sum(widths[key] for key in row) + 12 * passing
        if total > widest and len(row) > 1:
            hanging = dict.fromkeys(row, 0)
            for link in scene.links:
                if link.upper.unit in hanging:
                    hanging[link.upper.unit] += 1
            row.sort(key=lambda key: (hanging[key] > 0, -widths[key]))
            rows = -(-total // widest)
            goal = total / rows
            down = []
            while len(row) > 1 and total > goal and (total - goal > widths[row[0]] / 2):
                key = row.pop(0)
                total += 12 * hanging[key] - widths[key] + 12
                down.append(key)
            for key in ranks:
                if ranks[key] > rank or key in down:
                    ranks[key] += 1
        rank += 1
    return ranks


def wishes(scene: Scene, middle: Mapping[str, float]) -> dict[str, float]:
    """Where each link would rather stand: the mean x of its ends."""
    return {k.key: (middle[k.upper.unit] + middle[k.lower.unit]) / 2 for k in scene.links}


def _pin(placement: Placement, boxes: Mapping[str, Box], end: tuple[str, int], link: str, nth: int = 0) -> int:
    spot = placement.spots[end[0]]
    if spot.link:
        return spot.axis
    ports = [p for p in boxes[end[0]].ports if p.link == link and p.face == end[1]]
    return spot.x + ports[min(nth, len(ports) - 1)].x


def _measure_out(scene: Scene, boxes: dict[str, Box], placement: Placement, graph: str) -> Layout:
    count = len(placement.ranks)
    by_channel: list[list[Leg]] = [[] for _ in range(count + 1)]
    for legs in placement.legs.values():
        for leg in legs:
            by_channel[leg.channel].append(leg)
    channels: list[Channel] = []
    pins: dict[tuple[str, int], tuple[int, int]] = {}
    for number, legs in enumerate(by_channel):
        nets = []
        for leg in legs:
            xa = _pin(placement, boxes, leg.a, leg.link)
            xb = _pin(placement, boxes, leg.b, leg.link, 1 if leg.a == leg.b else 0)
            pins[leg.link, number] = (xa, xb)
            above = tuple(x for x, (_, face) in ((xa, leg.a), (xb, leg.b)) if face == BOTTOM)
            below = tuple(x for x, (_, face) in ((xa, leg.a), (xb, leg.b)) if face == TOP)
            nets.append(Net(f"{leg.link}", above, below))
        channels.append(route(nets))
    at: dict[str, XY] = {}
    tops: list[float] = []
    firsts: list[float] = []
    y = 0.0
    for number in range(count + 1):
        tracks = channels[number].tracks
        firsts.append(y + AIR)
        if tracks:
            y += 2 * AIR + TRACK * (tracks - 1)
        elif 0 < number < count:
            y += AIR
        tops.append(y)
        if number < count:
            high = 0.0
            for spot in placement.ranks[number]:
                if spot.link:
                    high = max(high, LABEL_ROOM + 2 if spot.width > 12 else 0.0)
                else:
                    at[spot.key] = (float(spot.x), y)
                    high = max(high, boxes[spot.key].height)
            y += high
    lines: dict[str, tuple[XY, ...]] = {}
    labels: dict[str, XY] = {}
    for link in scene.links:
        points: list[XY] = []
        for leg in placement.legs[link.key]:
            points += _leg_points(leg, channels[leg.channel], firsts[leg.channel], pins[leg.link, leg.channel])
        start = _port_y(boxes, at, placement.legs[link.key][0].a, link.key, 0)
        same = placement.legs[link.key][0].a == placement.legs[link.key][-1].b
        end = _port_y(boxes, at, placement.legs[link.key][-1].b, link.key, 1 if same else 0)
        xs = points[0][0], points[-1][0]
        points = [(xs[0], start), *points, (xs[1], end)]
        lines[link.key] = _clean(points)
        labels[link.key] = (xs[0], start)
        if link.upper.face == TOP:
            spot = placement.spots[placement.legs[link.key][0].b[0]]
            labels[link.key] = (float(spot.axis), tops[spot.rank])
    return Layout(scene, boxes, at, lines, labels, float(placement.width), y, graph)


def _port_y(boxes: Mapping[str, Box], at: Mapping[str, XY], end: tuple[str, int], link: str, nth: int) -> float:
    ports = [p for p in boxes[end[0]].ports if p.link == link and p.face == end[1]]
    return at[end[0]][1] + ports[min(nth, len(ports) - 1)].y


def _leg_points(leg: Leg, channel: Channel, first: float, ends: tuple[int, int]) -> list[XY]:
    """Points of a leg inside its channel (its ends' own heights are the neighbours')."""
    if leg.link in channel.straight:
        return [(float(ends[0]), first)]
    trunks = [t for t in channel.trunks if t.net == leg.link]
    trunks.sort(key=lambda t: t.track)
    x0, x1 = (float(x) for x in ends)
    if leg.a[1] == TOP and leg.b[1] == BOTTOM:
        raise AssertionError("legs run downwards")
    points: list[XY] = []
    x = x0
    for trunk in trunks:
        y = first + trunk.track * TRACK
        points.append((x, y))
        x = float(trunk.on[0]) if trunk.on else x1
        points.append((x, y))
    return points


def _clean(points: list[XY]) -> tuple[XY, ...]:
    """Without points that lie on the straight between their neighbours."""
    done: list[XY] = []
    for point in points:
        if done and point == done[-1]:
            continue
        if len(done) > 1:
            (x0, y0), (x1, y1) = done[-2], done[-1]
            if (x0 == x1 == point[0]) or (y0 == y1 == point[1]):
                done[-1] = point
                continue
        done.append(point)
    return tuple(done)


__all__ = ["TOP", "Layout", "lay_out", "shape"]
