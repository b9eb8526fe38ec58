"""A page's geometry: boxes placed, channels routed, every link a line of points."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from renderers.sheets.box import BOTTOM, GRID, TOP, Box, Context
from renderers.sheets.dot import Asking
from renderers.sheets.ink import Spot as XY
from renderers.sheets.place import (
    SLIM,
    Placement,
    placement_graph,
    placement_of,
    read_placement,
    read_sketch,
    sketch_graph,
)
from renderers.sheets.ports import crossings, pin_of, port_order, with_ports_in_order
from renderers.sheets.route import Channel, Net, route
from renderers.sheets.shapes import shapes
from renderers.sheets.stack import Item, stack
from renderers.sheets.straighten import straighten
from renderers.sheets.units import Scene, Sort
from renderers.sheets.wire_label import label_height

ROUNDS = 3  # of putting terminals and boxes in order in turn


@dataclass(slots=True)
class Layout:
    """A page laid out. `at`: upper left corner of each box; `lines`: points of each link, from its upper end;
    `labels`: where each link's label hangs; `crossed`: pairs of legs that cross; `placement`: spots in their ranks (of
    one drawing, not of several packed); `pressed`: the same brought within some room, made before."""

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
    pressed: dict[tuple[float, float, bool], Layout] = field(default_factory=dict)

    def of(self, scene: Scene) -> Layout:
        """The layout for a scene that looks the same."""
        return replace(self, scene=scene)


def lay_out(scene: Scene, context: Context) -> Asking[Layout]:
    """Lay a scene out. Terminals are put in order by where dot's first sketch has the other ends of their wires."""
    (answer,) = yield (sketch_graph(scene, shapes(scene, context, {})),)
    ranks, middle = read_sketch(scene, answer)
    return (yield from _placed(scene, shapes(scene, context, _first_wishes(scene, middle)), ranks))


def dealt_out(layout: Layout, widest: float) -> Asking[Layout]:
    """A layout with ranks wider than `widest` dealt out over several."""
    assert layout.placement is not None
    ranks = {spot.key: spot.rank for spot in layout.placement.spots.values() if not spot.link}
    fresh = narrowed(ranks, layout.scene, {key: box.width for key, box in layout.boxes.items()}, widest)
    return (yield from _placed(layout.scene, layout.boxes, fresh)) if fresh != ranks else layout


def refined(layout: Layout, context: Context) -> Asking[Layout]:
    """A layout with its terminals in order by where their wires really come from, if fewer wires cross then."""
    for _ in range(ROUNDS):
        placement = layout.placement
        if placement is None or not layout.crossed:
            break
        boxes = with_ports_in_order(layout.scene, placement, layout.boxes, context)
        if port_order(boxes) == port_order(layout.boxes):
            break
        ranks = {spot.key: spot.rank for spot in placement.spots.values() if not spot.link}
        other = yield from _placed(layout.scene, boxes, ranks)
        if all(spot.link or spot.width == boxes[spot.key].width for spot in placement.spots.values()):
            # dot may put the boxes in another order, which is not always the better one.
            same = placement.copy()
            straighten(same, boxes)
            same.push_left()
            kept = _measure_out(layout.scene, boxes, same, layout.dot)
            other = min(other, kept, key=lambda one: one.crossed)
        if other.crossed >= layout.crossed:
            break
        layout = other
    return layout


def squeezed(layout: Layout, wide: float, high: float, thorough: bool = False) -> Layout:
    """A layout brought within a width and a height, or as near to them as can be. Of one drawing, not of several.

    `thorough`: its wires are straightened once more in any case.
    """
    if layout.width <= wide and layout.height <= high and not thorough:
        return layout
    # Many drafts of a page have the same drawings on it.
    room = (wide, high, thorough)
    if room not in layout.pressed:
        layout.pressed[room] = _squeezed(layout, wide, high, thorough)
    return layout.pressed[room].of(layout.scene)


def _squeezed(layout: Layout, wide: float, high: float, thorough: bool) -> Layout:
    assert layout.placement is not None
    placement = layout.placement
    if layout.width > wide or thorough:
        wide = int(wide) // (2 * GRID) * 2 * GRID
        found = []
        for number, share in enumerate((0.5, 0.0, 0.25, 0.75, 1.0) if thorough and layout.width > wide else (0.5,)):
            placement = layout.placement.copy()
            placement.narrow(int(wide), share)
            jogs = straighten(placement, layout.boxes, placement.width, thorough)
            placement.push_left()
            found.append((jogs, number, placement))
        placement = min(found)[2]
    return _measure_out(layout.scene, layout.boxes, placement, layout.dot, high)


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


def _measure_out(
    scene: Scene, boxes: dict[str, Box], placement: Placement, graph: str, limit: float = math.inf
) -> Layout:
    count = len(placement.ranks)
    links = {link.key: link for link in scene.links}
    by_channel: list[list[Net]] = [[] for _ in range(count + 1)]
    pins: dict[str, tuple[int, int]] = {}
    for key, legs in placement.legs.items():
        for number, leg in enumerate(legs):
            again = leg is legs[-1] and leg.b == legs[0].a  # both ends on one face of one box
            ends = pin_of(placement, boxes, leg.a, key), pin_of(placement, boxes, leg.b, key, int(again))
            pins[f"{key}#{number}"] = ends
            looking = list(zip(ends, (leg.a[1], leg.b[1]), strict=True))
            above = tuple(x for x, face in looking if face == BOTTOM)
            below = tuple(x for x, face in looking if face == TOP)
            by_channel[leg.channel].append(Net(f"{key}#{number}", above, below))
    channels = [route(nets) for nets in by_channel]
    items: list[Item] = []
    owners: list[tuple[str, int]] = []  # of each item: a spot, or a leg with the number of its stretch
    level = 0
    for number in range(count + 1):
        for trunk in channels[number].trunks:
            items.append(Item(trunk.left, trunk.right, -1.0, level + trunk.track))
            owners.append((trunk.net, trunk.track))
        level += channels[number].tracks
        for spot in placement.ranks[number] if number < count else ():
            if not spot.link or spot.width > SLIM:
                high = label_height([links[spot.link]]) + 2 if spot.link else boxes[spot.key].height
                items.append(Item(spot.x, spot.x + spot.width, high, level))
                owners.append((spot.key, -1))
        level += 1
    ys, deepest = stack(items, limit)
    heights = dict(zip(owners, ys, strict=True))
    at = {spot.key: (float(spot.x), heights[spot.key, -1]) for spot in placement.spots.values() if not spot.link}
    lines: dict[str, tuple[XY, ...]] = {}
    labels: dict[str, XY] = {}
    for link in links.values():
        points: list[XY] = []
        legs = placement.legs[link.key]
        for number, leg in enumerate(legs):
            key = f"{link.key}#{number}"
            points += _leg_points(key, channels[leg.channel], heights, pins[key])
        start = (float(pins[f"{link.key}#0"][0]), _port_y(boxes, at, legs[0].a, link.key, 0))
        end = (
            float(pins[f"{link.key}#{len(legs) - 1}"][1]),
            _port_y(boxes, at, legs[-1].b, link.key, int(legs[0].a == legs[-1].b)),
        )
        lines[link.key] = _clean([start, *points, end])
        labels[link.key] = start
        if link.upper.face == TOP:
            spot = placement.spots[legs[0].b[0]]
            labels[link.key] = (float(spot.axis), heights[spot.key, -1])
    crossed = crossings(placement, boxes)
    return Layout(scene, boxes, at, lines, labels, float(placement.width), deepest, graph, crossed, placement)


def _port_y(boxes: Mapping[str, Box], at: Mapping[str, XY], end: tuple[str, int], link: str, nth: int) -> float:
    ports = [p for p in boxes[end[0]].ports if p.link == link and p.face == end[1]]
    return at[end[0]][1] + ports[min(nth, len(ports) - 1)].y


def _leg_points(
    key: str, channel: Channel, heights: Mapping[tuple[str, int], float], ends: tuple[int, int]
) -> list[XY]:
    """The corners of a leg inside its channel; none if it is straight."""
    points: list[XY] = []
    x = float(ends[0])
    for trunk in sorted((t for t in channel.trunks if t.net == key), key=lambda t: t.track):
        y = heights[key, trunk.track]
        points.append((x, y))
        x = float(trunk.on[0] if trunk.on else ends[1])
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
