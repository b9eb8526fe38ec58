"""Placing boxes: dot gives every box its rank, then every rank its order and every box its x.

The first run of dot ranks. Between the runs every wire that passes a rank gets an invisible point there, so that the
second run gives the wire a column of its own. dot counts in whole points, so the graph is written in units of half a
grid step: what comes back lies on the grid.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from renderers.sheets.box import BOTTOM, GRID, TOP, Box, Port, label_room, up
from renderers.sheets.dot import run_dot
from renderers.sheets.units import Scene, Sort

UNIT = GRID // 2  # points in one unit of the graph that dot sees
GAP = 2 * UNIT  # that dot leaves between neighbours; boxes are told to it narrower by as much, see _graph


class Leg(NamedTuple):
    """A piece of a link in one channel: pins as (x, face that looks into the channel: BOTTOM of the rank above or TOP of
    the rank below)."""

    link: str
    channel: int
    a: tuple[str, int]
    b: tuple[str, int]


@dataclass(slots=True)
class Spot:
    """Something in a rank: a box, or a point where a wire passes (`link` then names it). `x` is its left edge."""

    key: str
    rank: int
    width: int
    link: str = ""
    axis: int = GRID
    x: int = 0


@dataclass(slots=True)
class Placement:
    """Ranks from the top, each with its spots from the left; `legs` of every link from its upper end on."""

    ranks: list[list[Spot]]
    legs: dict[str, list[Leg]]
    spots: dict[str, Spot] = field(default_factory=dict)
    dot: str = ""

    @property
    def width(self) -> int:
        return max((s.x + s.width for rank in self.ranks for s in rank), default=0)


def rank_units(scene: Scene, program: str | None) -> dict[str, int]:
    """Rank of every unit, 0 at the top. Raises DotError."""
    names = {key: f"n{i}" for i, key in enumerate(scene.units)}
    lines = [
        "digraph ranks {",
        "graph [splines=none, nodesep=0.02, ranksep=0.5, newrank=true];",
        'node [shape=box, fixedsize=true, width=0.1, height=0.1, label=""];',
        *(f"{name};" for name in names.values()),
    ]
    for link in scene.links:
        a, b = link.upper.unit, link.lower.unit
        if a != b:
            lines.append(f"{names[a]} -> {names[b]} [weight={4 if link.stub else 1}];")
    bottoms = [names[k] for k, u in scene.units.items() if u.sort is Sort.GROUND]
    if len(bottoms) > 1:
        lines.append("{rank=same; " + "; ".join(bottoms) + ";}")
    lines.append("}")
    places = _positions(run_dot("\n".join(lines), program))
    levels = sorted({round(places[n][1], 3) for n in names.values()}, reverse=True)
    index = {level: i for i, level in enumerate(levels)}
    return {key: index[round(places[n][1], 3)] for key, n in names.items()}


def chains(scene: Scene, ranks: Mapping[str, int], ports: Mapping[tuple[str, str], list[Port]]) -> Placement:
    """Every link as legs through channels, with a spot in every rank it passes. Channel r lies above rank r."""
    count = max(ranks.values(), default=-1) + 1
    placement = Placement([[] for _ in range(count)], {})
    for link in scene.links:
        upper, lower = link.upper, link.lower
        legs: list[Leg] = []
        here = (upper.unit, BOTTOM)
        rank = ranks[upper.unit]
        goal = ranks[lower.unit]

        def passing(at: int, wide: int = 2 * GRID, link_key: str = link.key) -> str:
            key = f"{link_key}~{at}~{sum(1 for s in placement.ranks[at] if s.link == link_key)}"
            placement.ranks[at].append(Spot(key, at, wide, link_key))
            return key

        if upper.face == TOP:
            room = up(GRID + label_room(link.wire), 2 * GRID)
            key = passing(rank, room)
            legs.append(Leg(link.key, rank, (upper.unit, TOP), (key, TOP)))
            here = (key, BOTTOM)
        end = goal if lower.face == TOP else goal + 1
        for at in range(rank + 1, end):
            key = passing(at)
            legs.append(Leg(link.key, at, here, (key, TOP)))
            here = (key, BOTTOM)
        if lower.face == TOP:
            legs.append(Leg(link.key, goal, here, (lower.unit, TOP)))
        else:
            legs.append(Leg(link.key, goal + 1, here, (lower.unit, BOTTOM)))
        placement.legs[link.key] = legs
    return placement


def place(
    scene: Scene, boxes: Mapping[str, Box], ranks: Mapping[str, int], program: str | None
) -> Placement:
    """Place the boxes of a scene. Raises DotError."""
    ports = {}
    for key, box in boxes.items():
        for port in box.ports:
            ports.setdefault((key, port.link), []).append(port)
    placement = chains(scene, ranks, ports)
    for key, box in boxes.items():
        placement.ranks[ranks[key]].append(Spot(key, ranks[key], box.width))
    spots = {s.key: s for rank in placement.ranks for s in rank}
    placement.spots = spots
    text = _graph(placement, boxes)
    placement.dot = text
    places = _positions(run_dot(text, program))
    names = {key: f"n{i}" for i, key in enumerate(spots)}
    order = list(spots)
    for rank in placement.ranks:
        rank.sort(key=lambda s: (places[names[s.key]][0], order.index(s.key)))
        edge = None
        for spot in rank:
            middle = places[names[spot.key]][0] * 72 * UNIT
            left = round((middle - spot.width / 2) / GRID) * GRID
            if edge is not None:
                left = max(left, edge)
            spot.x = left
            edge = left + spot.width
    start = min((s.x for s in spots.values()), default=0)
    for spot in spots.values():
        spot.x -= start
    return placement


def _graph(placement: Placement, boxes: Mapping[str, Box]) -> str:
    spots = placement.spots
    names = {key: f"n{i}" for i, key in enumerate(spots)}
    lines = [
        "digraph sheet {",
        f"graph [splines=none, nodesep={_inch(GAP)}, ranksep=0.2, newrank=true];",
        'node [shape=plain, label=""];',
        "edge [arrowhead=none];",
    ]
    for key, spot in spots.items():
        if spot.link:
            lines.append(f"{names[key]} [shape=box, fixedsize=true, width={_inch(spot.width - GAP)}, height=0.02];")
        else:
            lines.append(f"{names[key]} [label=<{_table(boxes[key])}>];")
    for rank in placement.ranks:
        lines.append("{rank=same; " + "; ".join(names[s.key] for s in rank) + ";}")
    heads = [names[rank[0].key] for rank in placement.ranks if rank]
    lines += [f"{a} -> {b} [style=invis, weight=0];" for a, b in zip(heads, heads[1:], strict=False)]
    for legs in placement.legs.values():
        for leg in legs:
            (a, face_a), (b, face_b) = leg.a, leg.b
            if face_a != BOTTOM or face_b != TOP or a == b:
                continue
            passing = bool(spots[a].link) + bool(spots[b].link)
            tail = f":b{_port_index(boxes, a, leg.link, BOTTOM)}" if not spots[a].link else ""
            head = f":t{_port_index(boxes, b, leg.link, TOP)}" if not spots[b].link else ""
            lines.append(f"{names[a]}{tail} -> {names[b]}{head} [weight={(2, 4, 8)[passing]}];")
    lines.append("}")
    return "\n".join(lines)


def _port_index(boxes: Mapping[str, Box], key: str, link: str, face: int) -> int:
    return next(i for i, p in enumerate(boxes[key].ports) if p.link == link and p.face == face)


def _inch(points: float) -> str:
    return f"{points / UNIT / 72:.5f}"


_PLAIN = 'border="0" cellborder="0" cellspacing="0" cellpadding="0"'


def _table(box: Box) -> str:
    """A box as nested tables of fixed cells, so that every port lies exactly where it will be drawn."""
    rows = []
    for face, letter in ((TOP, "t"), (BOTTOM, "b")):
        cells = []
        x = 1  # the margin that makes the box narrower by GAP
        for x_port, index in sorted((p.x, i) for i, p in enumerate(box.ports) if p.face == face):
            left = (x_port - GRID // 2) // UNIT
            if left > x:
                cells.append(f'<td fixedsize="true" width="{left - x}" height="1"></td>')
            cells.append(f'<td fixedsize="true" width="2" height="1" port="{letter}{index}"></td>')
            x = left + 2
        rest = box.width // UNIT - 1 - x
        if rest > 0:
            cells.append(f'<td fixedsize="true" width="{rest}" height="1"></td>')
        rows.append(f"<tr><td><table {_PLAIN}><tr>{''.join(cells)}</tr></table></td></tr>")
    return f"<table {_PLAIN}>{''.join(rows)}</table>"


def _positions(plain: str) -> dict[str, tuple[float, float]]:
    """Node name -> middle in inches, y upwards, from dot's plain format."""
    places: dict[str, tuple[float, float]] = {}
    for text in plain.splitlines():
        words = text.split(" ", 4)
        if words[0] == "node":
            places[words[1]] = (float(words[2]), float(words[3]))
    return places


def order_of(rank: Sequence[Spot]) -> list[str]:
    """Keys of a rank from left to right."""
    return [spot.key for spot in rank]
