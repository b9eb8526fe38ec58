"""A page's geometry: boxes placed, channels routed, every link a line of points."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from renderers.sheets.box import BOTTOM, TOP, Box, Context, Ends
from renderers.sheets.bus import bus
from renderers.sheets.device import device_box
from renderers.sheets.dot import Asking
from renderers.sheets.ink import Spot as XY
from renderers.sheets.inline import inline
from renderers.sheets.joints import arrow, ground, loose, splice
from renderers.sheets.place import (
    SLIM,
    Placement,
    placement_graph,
    placement_of,
    read_placement,
    read_sketch,
    sketch_graph,
)
from renderers.sheets.route import Channel, Net, route
from renderers.sheets.straighten import straighten
from renderers.sheets.units import Link, Scene, Sort, Unit
from renderers.sheets.wire_label import label_height

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
    `labels`: where each link's label hangs; `crossed`: pairs of legs that cross; `placement`: spots in their ranks (of
    one drawing, not of several packed)."""

    scene: Scene
    boxes: dict[str, Box]
    at: dict[str, XY]
    lines: dict[str, tuple[XY, ...]]
    labels: dict[str, XY]
    width: float
    height: float
    dot: str
    crossed: int = 0
    placement: Placement | None = None


def shape(unit: Unit, ends: Ends, context: Context, wish: Mapping[str, float]) -> Box:
    """The box of a unit; `wish` says where its links come from, left to right."""
    free = unit.sort is not Sort.DEVICE and len(ends.top) < 2 and len(ends.bottom) < 2
    if wish and not free:
        return _SHAPES[unit.sort](unit, ends, context._replace(wish=wish))
    # Many drafts of a page show the same units in the same way.
    links = tuple(k.key for k in ends.top), tuple(k.key for k in ends.bottom)
    key = (unit.key, unit.sort, tuple(unit.cells), unit.upper, links)
    box = context.cache.get(key)
    if box is None:
        box = context.cache[key] = _SHAPES[unit.sort](unit, ends, context)
    return box


def shapes(scene: Scene, context: Context, wishes: Mapping[str, Mapping[str, float]]) -> dict[str, Box]:
    """The boxes of all units; `wishes` by unit and link."""
    found: dict[str, tuple[list[Link], list[Link]]] = {key: ([], []) for key in scene.units}
    for link in scene.links:
        for tip in link.tips:
            found[tip.unit][tip.face].append(link)
    return {
        key: shape(unit, Ends(*(tuple(side) for side in found[key])), context, wishes.get(key, {}))
        for key, unit in scene.units.items()
    }


def lay_out(scene: Scene, context: Context, widest: float = 0.0) -> Asking[Layout]:
    """Lay a scene out; ranks wider than `widest` are dealt out over several. Terminals are put in order by where dot's
    first sketch has the other ends of their wires."""
    boxes = shapes(scene, context, {})
    (answer,) = yield (sketch_graph(scene, boxes),)
    ranks, middle = read_sketch(scene, answer)
    if widest:
        ranks = narrowed(ranks, scene, {key: box.width for key, box in boxes.items()}, widest)
    boxes = shapes(scene, context, _first_wishes(scene, middle))
    return (yield from _placed(scene, boxes, ranks))


def refined(layout: Layout, context: Context) -> Asking[Layout]:
    """A layout with its terminals in order by where their wires really come from, if fewer wires cross then."""
    placement = layout.placement
    if placement is None or not layout.crossed:
        return layout
    boxes = shapes(layout.scene, context, _next_wishes(placement, layout.boxes))
    if _port_order(boxes) == _port_order(layout.boxes):
        return layout
    ranks = {spot.key: spot.rank for spot in placement.spots.values() if not spot.link}
    other = yield from _placed(layout.scene, boxes, ranks)
    return other if other.crossed < layout.crossed else layout


def _placed(scene: Scene, boxes: dict[str, Box], ranks: Mapping[str, int]) -> Asking[Layout]:
    placement = placement_of(scene, boxes, ranks)
    graph = placement_graph(placement, boxes)
    (answer,) = yield (graph,)
    read_placement(placement, answer)
    straighten(placement, boxes)
    placement.push_left()
    return _measure_out(scene, boxes, placement, graph)


def _first_wishes(scene: Scene, middle: Mapping[str, float]) -> dict[str, dict[str, float]]:
    """For each unit and link: the middle of the unit at the link's other end."""
    wishes: dict[str, dict[str, float]] = {}
    for link in scene.links:
        a, b = link.upper.unit, link.lower.unit
        wishes.setdefault(a, {})[link.key] = middle[b]
        wishes.setdefault(b, {})[link.key] = middle[a]
    return wishes


def _next_wishes(placement: Placement, boxes: Mapping[str, Box]) -> dict[str, dict[str, float]]:
    """For each unit and link: where the link's first leg away from the unit ends."""
    wishes: dict[str, dict[str, float]] = {}
    for key, legs in placement.legs.items():
        for leg, near, far in ((legs[0], legs[0].a, legs[0].b), (legs[-1], legs[-1].b, legs[-1].a)):
            wishes.setdefault(near[0], {})[key] = float(_pin(placement, boxes, far, leg.link))
    return wishes


def _port_order(boxes: Mapping[str, Box]) -> list[tuple[str, ...]]:
    return [tuple(p.link for p in sorted(box.ports, key=lambda p: (p.face, p.x))) for box in boxes.values()]


def crossings(placement: Placement, boxes: Mapping[str, Box]) -> int:
    """How many pairs of legs must cross in their channel, whatever the tracks."""
    channels: dict[int, list[tuple[int, int]]] = {}
    for legs in placement.legs.values():
        for leg in legs:
            if leg.a[1] == BOTTOM and leg.b[1] == TOP:
                ends = (_pin(placement, boxes, leg.a, leg.link), _pin(placement, boxes, leg.b, leg.link))
                channels.setdefault(leg.channel, []).append(ends)
    return sum(
        (a - c) * (b - d) < 0
        for pairs in channels.values()
        for index, (a, b) in enumerate(pairs)
        for c, d in pairs[index + 1 :]
    )


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
    for link in scene.links:
        # An arrow stays beside what it belongs to.
        upper, lower = link.upper.unit, link.lower.unit
        if scene.units[upper].sort is Sort.ARROW:
            ranks[upper] = ranks[lower] - 1
        elif scene.units[lower].sort is Sort.ARROW:
            ranks[lower] = ranks[upper] + 1
    level = {old: new for new, old in enumerate(sorted(set(ranks.values())))}
    return {key: level[old] for key, old in ranks.items()}


def _pin(placement: Placement, boxes: Mapping[str, Box], end: tuple[str, int], link: str, nth: int = 0) -> int:
    spot = placement.spots[end[0]]
    if spot.link:
        return spot.axis
    ports = [p for p in boxes[end[0]].ports if p.link == link and p.face == end[1]]
    return spot.x + ports[min(nth, len(ports) - 1)].x


def _measure_out(scene: Scene, boxes: dict[str, Box], placement: Placement, graph: str) -> Layout:
    count = len(placement.ranks)
    links = {link.key: link for link in scene.links}
    by_channel: list[list[Net]] = [[] for _ in range(count + 1)]
    pins: dict[str, tuple[int, int]] = {}
    for key, legs in placement.legs.items():
        for number, leg in enumerate(legs):
            again = leg is legs[-1] and leg.b == legs[0].a  # both ends on one face of one box
            ends = _pin(placement, boxes, leg.a, key), _pin(placement, boxes, leg.b, key, int(again))
            pins[f"{key}#{number}"] = ends
            looking = list(zip(ends, (leg.a[1], leg.b[1]), strict=True))
            above = tuple(x for x, face in looking if face == BOTTOM)
            below = tuple(x for x, face in looking if face == TOP)
            by_channel[leg.channel].append(Net(f"{key}#{number}", above, below))
    channels = [route(nets) for nets in by_channel]
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
                    if spot.width > SLIM:
                        high = max(high, label_height([links[spot.link]]) + 2)
                else:
                    at[spot.key] = (float(spot.x), y)
                    high = max(high, boxes[spot.key].height)
            y += high
    lines: dict[str, tuple[XY, ...]] = {}
    labels: dict[str, XY] = {}
    for link in links.values():
        points: list[XY] = []
        legs = placement.legs[link.key]
        for number, leg in enumerate(legs):
            key = f"{link.key}#{number}"
            points += _leg_points(key, channels[leg.channel], firsts[leg.channel], pins[key])
        start = _port_y(boxes, at, legs[0].a, link.key, 0)
        end = _port_y(boxes, at, legs[-1].b, link.key, int(legs[0].a == legs[-1].b))
        xs = points[0][0], points[-1][0]
        points = [(xs[0], start), *points, (xs[1], end)]
        lines[link.key] = _clean(points)
        labels[link.key] = (xs[0], start)
        if link.upper.face == TOP:
            spot = placement.spots[legs[0].b[0]]
            labels[link.key] = (float(spot.axis), tops[spot.rank])
    count = crossings(placement, boxes)
    return Layout(scene, boxes, at, lines, labels, float(placement.width), y, graph, count, placement)


def _port_y(boxes: Mapping[str, Box], at: Mapping[str, XY], end: tuple[str, int], link: str, nth: int) -> float:
    ports = [p for p in boxes[end[0]].ports if p.link == link and p.face == end[1]]
    return at[end[0]][1] + ports[min(nth, len(ports) - 1)].y


def _leg_points(key: str, channel: Channel, first: float, ends: tuple[int, int]) -> list[XY]:
    """Points of a leg inside its channel (its ends' own heights are the neighbours')."""
    if key in channel.straight:
        return [(float(ends[0]), first)]
    trunks = [t for t in channel.trunks if t.net == key]
    trunks.sort(key=lambda t: t.track)
    x0, x1 = (float(x) for x in ends)
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
