"""Placing boxes: dot gives every box its rank, every rank its order and every box its x.

It is asked twice. First the boxes with their ports and the wires between them: that gives the ranks, and where each
wire comes from, by which terminals are put in order. Then every wire that passes a rank gets an invisible point there,
so that it has a column of its own. dot counts in whole points, so the graphs are written in units of half a grid step:
what comes back lies on the grid.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from renderers.sheets.box import BOTTOM, GRID, TOP, Box, up
from renderers.sheets.dot import DotError
from renderers.sheets.units import Link, Scene, Sort
from renderers.sheets.wire_label import label_room

UNIT = GRID // 2  # points in one unit of the graph that dot sees
GAP = 2 * UNIT  # that dot leaves between neighbours; boxes are told to it narrower by as much
SLIM = 2 * GRID  # width of a passing wire's column


class Leg(NamedTuple):
    """A piece of a link in one channel, from `a` to `b`: (spot, face). A face BOTTOM looks into the channel from the
    rank above, a face TOP from the rank below."""

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
    x: int = 0

    @property
    def axis(self) -> int:
        """Where a passing wire runs."""
        return self.x + GRID


@dataclass(slots=True)
class Placement:
    """Ranks from the top, each with its spots from the left; `legs` of every link from its upper end on."""

    ranks: list[list[Spot]]
    legs: dict[str, list[Leg]] = field(default_factory=dict)
    spots: dict[str, Spot] = field(default_factory=dict)

    @property
    def width(self) -> int:
        """From the left edge of the drawing to its right edge."""
        return max((s.x + s.width for s in self.spots.values()), default=0)

    def copy(self) -> Placement:
        """The same ranks with spots of their own."""
        ranks = [[replace(spot) for spot in rank] for rank in self.ranks]
        return Placement(ranks, self.legs, {spot.key: spot for rank in ranks for spot in rank})

    def narrow(self, wide: int, share: float) -> None:
        """Bring the spots within a width, or as near to it as the fullest rank allows; their order stays. `share`: how
        much of what is too wide is taken at the left, or of what is free is left there."""
        start = min((s.x for s in self.spots.values()), default=0)
        shift = start + int((self.width - start - wide) * share) // GRID * GRID
        wide = max([wide, *(sum(s.width for s in rank) for rank in self.ranks)])
        for rank in self.ranks:
            left, room = 0, wide - sum(s.width for s in rank)
            for spot in rank:
                spot.x = min(max(spot.x - shift, left), left + room)
                left += spot.width

    def push_left(self) -> None:
        """Bring the leftmost spot to the left edge."""
        start = min((s.x for s in self.spots.values()), default=0)
        for spot in self.spots.values():
            spot.x -= start


class Sketch(NamedTuple):
    """What the first run tells: rank of each unit, and x of its middle in points."""

    ranks: dict[str, int]
    middle: dict[str, float]


# -- the first run ---------------------------------------------------------------------------------------------------
def sketch_graph(scene: Scene, boxes: Mapping[str, Box]) -> str:
    """The graph that gives ranks."""
    names = {key: f"n{i}" for i, key in enumerate(scene.units)}
    lines = [*_HEAD]
    lines += [f"{names[key]} [label=<{_table(boxes[key])}>];" for key in names]
    for link in scene.links:
        (a, _, face_a), (b, _, face_b) = link.tips
        if a != b:
            tail = _port(boxes[a], link.key, BOTTOM) if face_a == BOTTOM else ""
            head = _port(boxes[b], link.key, TOP) if face_b == TOP else ""
            lines.append(f"{names[a]}{tail} -> {names[b]}{head} [weight={4 if link.stub else 1}];")
    straps = {k.upper.unit for k in scene.links if scene.units[k.lower.unit].sort is Sort.GROUND}
    grounds = [names[k] for k, u in scene.units.items() if u.sort is Sort.GROUND and k not in straps]
    if len(grounds) > 1:
        lines.append("{rank=same; " + "; ".join(grounds) + ";}")
    return "\n".join([*lines, "}"])


def read_sketch(scene: Scene, plain: str) -> Sketch:
    """Ranks and places from dot's answer."""
    places = _positions(plain)
    keys = list(scene.units)
    levels = sorted({round(places[f"n{i}"][1], 2) for i in range(len(keys))}, reverse=True)
    rank = {level: number for number, level in enumerate(levels)}
    return Sketch(
        {key: rank[round(places[f"n{i}"][1], 2)] for i, key in enumerate(keys)},
        {key: places[f"n{i}"][0] * 72 * UNIT for i, key in enumerate(keys)},
    )


# -- the second run --------------------------------------------------------------------------------------------------
def placement_of(scene: Scene, boxes: Mapping[str, Box], ranks: Mapping[str, int]) -> Placement:
    """Boxes in their ranks and every link as legs through channels. Channel r lies above rank r."""
    placement = Placement([[] for _ in range(max(ranks.values(), default=-1) + 1)])
    for link in scene.links:
        placement.legs[link.key] = _legs(placement, link, ranks)
    for key, box in boxes.items():
        placement.ranks[ranks[key]].append(Spot(key, ranks[key], box.width))
    placement.spots = {spot.key: spot for rank in placement.ranks for spot in rank}
    return placement


def _legs(placement: Placement, link: Link, ranks: Mapping[str, int]) -> list[Leg]:
    """The legs of a link, with a spot in every rank it passes. From the upper face of its upper unit, or to the lower
    face of its lower one, it goes round that unit."""
    upper, lower = link.upper, link.lower
    legs: list[Leg] = []
    here = (upper.unit, BOTTOM)
    rank, goal = ranks[upper.unit], ranks[lower.unit]

    def passing(at: int, wide: int = SLIM) -> str:
        key = f"{link.key}~{at}"
        placement.ranks[at].append(Spot(key, at, wide, link.key))
        return key

    if upper.face == TOP:
        key = passing(rank, up(GRID + label_room(link), 2 * GRID))
        legs.append(Leg(link.key, rank, (upper.unit, TOP), (key, TOP)))
        here = (key, BOTTOM)
    if upper.unit == lower.unit and upper.face == lower.face == TOP:
        # Round under the unit and up again on its other side.
        back = f"{link.key}~back"
        placement.ranks[rank].append(Spot(back, rank, SLIM, link.key))
        legs.append(Leg(link.key, rank + 1, here, (back, BOTTOM)))
        return [*legs, Leg(link.key, rank, (back, TOP), (upper.unit, TOP))]
    last = goal if lower.face == TOP else goal + 1
    for at in range(rank + 1, last):
        key = passing(at)
        legs.append(Leg(link.key, at, here, (key, TOP)))
        here = (key, BOTTOM)
    legs.append(Leg(link.key, last, here, (lower.unit, lower.face)))
    return legs


def placement_graph(placement: Placement, boxes: Mapping[str, Box]) -> str:
    """The graph that gives order and x, ranks being fixed."""
    spots = placement.spots
    names = {key: f"n{i}" for i, key in enumerate(spots)}
    lines = [*_HEAD]
    for key, spot in spots.items():
        if spot.link:
            size = f"width={_inch(spot.width - GAP)}, height=0.02"
            lines.append(f"{names[key]} [shape=box, fixedsize=true, {size}];")
        else:
            lines.append(f"{names[key]} [label=<{_table(boxes[key])}>];")
    for rank in placement.ranks:
        lines.append("{rank=same; " + "; ".join(names[s.key] for s in rank) + ";}")
    heads = [names[rank[0].key] for rank in placement.ranks if rank]
    lines += [f"{a} -> {b} [style=invis, weight=0];" for a, b in itertools.pairwise(heads)]
    for legs in placement.legs.values():
        for leg in legs:
            (a, face_a), (b, face_b) = leg.a, leg.b
            if face_a != BOTTOM or face_b != TOP or a == b:
                continue
            passing = bool(spots[a].link) + bool(spots[b].link)
            tail = _port(boxes[a], leg.link, BOTTOM) if not spots[a].link else ""
            head = _port(boxes[b], leg.link, TOP) if not spots[b].link else ""
            lines.append(f"{names[a]}{tail} -> {names[b]}{head} [weight={(2, 4, 8)[passing]}];")
    return "\n".join([*lines, "}"])


def read_placement(placement: Placement, plain: str) -> None:
    """Give spots their order and x from dot's answer, on the grid and clear of each other."""
    places = _positions(plain)
    number = {key: i for i, key in enumerate(placement.spots)}
    for rank in placement.ranks:
        rank.sort(key=lambda s: (places[f"n{number[s.key]}"][0], number[s.key]))
        edge: int | None = None
        for spot in rank:
            middle = places[f"n{number[spot.key]}"][0] * 72 * UNIT
            left = round((middle - spot.width / 2) / GRID) * GRID
            # Another dot may round otherwise than ours.
            spot.x = left if edge is None else max(left, edge)
            edge = spot.x + spot.width


# -- the language of dot ---------------------------------------------------------------------------------------------
def _inch(points: float) -> str:
    return f"{points / UNIT / 72:.5f}"


_HEAD = (
    "digraph sheet {",
    f"graph [splines=none, nodesep={_inch(GAP)}, ranksep=0.2, newrank=true];",
    'node [shape=plain, label=""];',
    "edge [arrowhead=none];",
)
_TABLE = '<table border="0" cellborder="0" cellspacing="0" cellpadding="0"><tr>'


def _port(box: Box, link: str, face: int) -> str:
    """The port of a box at which a link ends, as dot knows it."""
    return f":p{next(p.x for p in box.ports if p.link == link and p.face == face)}"


def _table(box: Box) -> str:
    """A box as a row of cells, so that every port lies exactly where it will be drawn. Upper and lower ports share the
    row: dot places by their x alone. No cell is larger than it must be: reading tables is most of dot's work."""
    cells = []
    x = 1  # the margin that makes the box narrower by GAP
    for place in sorted({p.x for p in box.ports}):
        left = (place - GRID // 2) // UNIT
        if left > x:
            cells.append(f'<td width="{left - x}"></td>')
        cells.append(f'<td width="2" port="p{place}"></td>')
        x = left + 2
    rest = box.width // UNIT - 1 - x
    if rest > 0:
        cells.append(f'<td width="{rest}"></td>')
    return f"{_TABLE}{''.join(cells)}</tr></table>"


class _Places(dict[str, tuple[float, float]]):
    def __missing__(self, name: str) -> tuple[float, float]:
        raise DotError(f"the answer of the dot program gives {name} no place")


def _positions(plain: str) -> _Places:
    """Node name -> middle in inches, y upwards, from dot's plain format. Raises DotError, also when a name is missed."""
    places = _Places()
    for text in plain.splitlines():
        words = text.split(" ", 4)
        if words[0] == "node":
            try:
                places[words[1]] = (float(words[2]), float(words[3]))
            except (IndexError, ValueError) as error:
                raise DotError(f"the answer of the dot program cannot be read: {text[:80]}") from error
    return places
