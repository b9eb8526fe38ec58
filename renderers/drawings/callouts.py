"""Call-outs around a drawing: labels in two columns beside it, a line from each to its point, no line across another.

The points are parted by a vertical line, so that the lines of one side never meet those of the other. On a side the
labels stand at heights that suit its points; then, from the top label down, each takes the point that lets all others
lie below its line: the first one that a ray from the label meets as it turns down from the upright. Labels further down
begin below that line and their points lie below it, so that their lines cannot cross it.

A line that would run over the mark of another point is eased: it goes on level for a while before it turns to its
point, or its label moves a little. Where that does not help, the points are parted elsewhere, the labels spread wider.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from math import hypot
from typing import Literal, NamedTuple

_CLEAR = 2.6  # a line this near the middle of a mark runs over it, points
# Ways to space the labels of a side: how far from beside their points towards evenly down the side, and all of them
# moved by so many steps.
_WAYS = tuple((blend, shift) for blend in (0.0, 0.3, 0.6, 1.0) for shift in (0.0, 0.4, -0.4, 0.9, -0.9, 1.6, -1.6))
_TURNS = tuple(tenths / 10 for tenths in range(11))  # where a line turns, from beside the drawing to its point
_PLACES = (0.0, 0.25, 0.5, 0.75, 1.0)  # of a label between its neighbours
_ROUNDS = 4
_PUSHES = 40
_FEW = 40  # labels of a side that are eased one by one; of more it would take longer than it is worth
_SPARSE, _WIDE = 1.2, 1.6  # height of a column to that of its labels
_PARTINGS = (0, 2, -2, 4, -4, 6, -6)  # where to part the points, from the middle
_LEAST_SHARE = 0.3  # of the labels on either side
Side = Literal["left", "right"]
Spot = tuple[float, float]
Stretch = tuple[Spot, Spot]


class CallOut(NamedTuple):
    """A call-out: which spot it is of, on which side its label stands, at what height its line begins, and how far
    across the line turns towards the spot."""

    spot: int
    side: Side
    height: float
    turn: float


class Ring(NamedTuple):
    """Call-outs around a drawing. `tall` is the height they take, the drawing in the middle of it."""

    outs: tuple[CallOut, ...]
    tall: float


class _Column(NamedTuple):
    """A side: its spots, where its lines begin, and the marks that they are to keep clear of (all spots)."""

    side: Side
    own: Sequence[int]
    start: float
    spots: Sequence[Spot]
    step: float
    tall: float

    def out(self, spot: int, height: float) -> CallOut:
        return CallOut(spot, self.side, height, self.start)


def call_outs(spots: Sequence[Spot], size: tuple[float, float], air: float, step: float, most: float) -> Ring:
    """Call-outs for spots of a drawing of a size (width, height), the lines of which turn `air` beside it or later.

    step   least distance between labels
    most   height that the call-outs may take, where the drawing and its labels do not need more

    The heights of the call-outs are those of the ring, where a spot y lies at y + (tall - height) / 2. Spots at one
    place share the end of their lines.
    """
    best: tuple[int, Ring] | None = None
    for halves, tall in _tries(spots, size, step, most):
        shifted = [(x, y + (tall - size[1]) / 2) for x, y in spots]
        left, over = _placed(_Column("left", halves[0], -air, shifted, step, tall))
        if best is not None and over > best[0]:
            continue
        right, more = _placed(_Column("right", halves[1], size[0] + air, shifted, step, tall))
        if best is None or (over + more, tall) < (best[0], best[1].tall):
            best = over + more, Ring((*left, *right), tall)
        if not best[0]:
            break
    assert best is not None  # there is one try at least
    return best[1]


def _tries(
    spots: Sequence[Spot], size: tuple[float, float], step: float, most: float
) -> Iterator[tuple[tuple[list[int], list[int]], float]]:
    """Spots for the left and the right column, and how high the columns are: the best guess first."""
    by_x = sorted(range(len(spots)), key=lambda i: (*spots[i], i))
    count = len(by_x)
    middle = sum(x <= size[0] / 2 for x, _ in spots)
    # By half, then evened out so that neither column runs far longer.
    first = round(min(max(middle, count * 0.46), count * 0.54)) if count > 1 else middle
    seen: set[tuple[int, float]] = set()
    for spread, shift in product((_SPARSE, _WIDE), _PARTINGS):
        split = min(max(first + shift, 0), count)
        longest = max(split, count - split)
        tall = max(size[1], step * longest * spread) + 2 * step
        fits = tall <= most and longest <= _FEW and min(split, count - split) >= _LEAST_SHARE * count
        if (split, tall) not in seen and (fits or not seen):
            seen.add((split, tall))
            yield (by_x[:split], by_x[split:]), tall


# -- one side ----------------------------------------------------------------------------------------------------------


def _placed(column: _Column) -> tuple[list[CallOut], int]:
    """The call-outs of a side, and how many marks their lines run over: the best of many ways to space the labels."""
    spots, own, step, tall = column.spots, column.own, column.step, column.tall
    near = _heights(sorted(spots[i][1] for i in own), step, tall)
    even = [step / 2 + (tall - step) * (n + 0.5) / max(len(own), 1) for n in range(len(own))]
    best: list[CallOut] = []
    cost: tuple[int, float] | None = None
    for blend, shift in _WAYS:
        wanted = [y + blend * (e - y) + shift * step for y, e in zip(near, even, strict=True)]
        outs = _joined(column, _heights(wanted, step, tall))
        over = sum(_over(column, out) for out in outs)
        other = over, sum(abs(out.height - spots[out.spot][1]) for out in outs)
        if cost is None or other < cost:
            cost, best = other, outs
        if not over:
            break
    assert cost is not None  # there are ways
    return _eased(column, best) if cost[0] and len(best) <= _FEW else (best, cost[0])


def _joined(column: _Column, heights: Sequence[float]) -> list[CallOut]:
    left = list(column.own)
    done = []
    for height in heights:
        # Steepness of the line to a spot: the least is met first by a ray that turns down from the upright.
        taken = min(left, key=lambda i: _turn(column.spots[i], column.start, height))
        left.remove(taken)
        done.append(column.out(taken, height))
    return done


def _turn(spot: Spot, start: float, height: float) -> tuple[float, float]:
    away = abs(spot[0] - start)
    return ((spot[1] - height) / away, away)


def _eased(column: _Column, outs: list[CallOut]) -> tuple[list[CallOut], int]:
    """The call-outs, those whose lines run over marks changed where that helps; and how many marks are left."""
    outs = list(outs)
    costs = [_over(column, out) for out in outs]
    for _ in range(_ROUNDS):
        before = sum(costs)
        for place, cost in enumerate(costs):
            if cost:
                better = min(_easier(column, outs, place, cost), default=None)
                if better is not None:
                    costs[place], outs[place] = better[0], better[-1]
        if sum(costs) in (0, before):
            break
    return outs, sum(costs)


def _easier(
    column: _Column, outs: Sequence[CallOut], place: int, cost: int
) -> Iterator[tuple[int, bool, float, CallOut]]:
    """Other lines for a call-out that run over fewer marks and across no line: marks, whether it turns later, how much
    it is changed."""
    out = outs[place]
    x = column.spots[out.spot][0]
    low = outs[place - 1].height + column.step if place else column.step / 2
    high = outs[place + 1].height - column.step if place + 1 < len(outs) else column.tall - column.step / 2
    heights = [out.height, *(low + part * (high - low) for part in _PLACES if high > low)]
    for height, part in product(heights, _TURNS):
        other = CallOut(out.spot, out.side, height, column.start + part * (x - column.start))
        over = _over(column, other)
        if over < cost and not _crosses(column, outs, place, other):
            yield over, part > 0, abs(height - out.height) / column.step + part, other


def _stretches(column: _Column, out: CallOut) -> tuple[Stretch, Stretch]:
    bend = (out.turn, out.height)
    return ((column.start, out.height), bend), (bend, column.spots[out.spot])


def _over(column: _Column, out: CallOut) -> int:
    """How many marks of other spots the line of a call-out runs over."""
    end = column.spots[out.spot]
    count = 0
    for (x0, y0), (x1, y1) in _stretches(column, out):
        dx, dy = x1 - x0, y1 - y0
        long = hypot(dx, dy)
        if not long:
            continue
        low, high = min(y0, y1) - _CLEAR, max(y0, y1) + _CLEAR
        left, right = min(x0, x1) - _CLEAR, max(x0, x1) + _CLEAR
        for x, y in column.spots:
            if low < y < high and left < x < right:
                a, b = x - x0, y - y0
                along = (a * dx + b * dy) / long
                # Marks at the line's own end hide nothing that could be parted.
                if 0 < along < long and abs(a * dy - b * dx) / long < _CLEAR and hypot(x - end[0], y - end[1]) > _CLEAR:
                    count += 1
    return count


def _crosses(column: _Column, outs: Sequence[CallOut], place: int, out: CallOut) -> bool:
    """Whether the line of a call-out in this place would meet another."""
    mine = _stretches(column, out)
    for other_place, other in enumerate(outs):
        if other_place != place:
            for one, two in product(mine, _stretches(column, other)):
                shared = one[1] == two[1] == column.spots[out.spot]
                if not shared and _meet(*one, *two):
                    return True
    return False


def _meet(a: Spot, b: Spot, c: Spot, d: Spot) -> bool:
    """Whether two stretches have a point in common."""
    if max(a[0], b[0]) < min(c[0], d[0]) or max(c[0], d[0]) < min(a[0], b[0]):
        return False
    if max(a[1], b[1]) < min(c[1], d[1]) or max(c[1], d[1]) < min(a[1], b[1]):
        return False
    return _side(a, b, c) * _side(a, b, d) <= 0 and _side(c, d, a) * _side(c, d, b) <= 0


def _side(a: Spot, b: Spot, c: Spot) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _heights(wanted: Sequence[float], step: float, tall: float) -> list[float]:
    """Heights of labels: each as near the height wanted as a step between neighbours allows, all on the drawing."""
    heights: list[float] = []
    for y in wanted:
        heights.append(max(y, heights[-1] + step) if heights else max(y, step / 2))
    limit = tall - step / 2
    for index in range(len(heights) - 1, -1, -1):
        heights[index] = min(heights[index], limit)
        limit = heights[index] - step
    return heights


# -- marks -------------------------------------------------------------------------------------------------------------


def parted(spots: Sequence[Spot], size: tuple[float, float], apart: float) -> list[Spot]:
    """The spots, those nearer to each other than `apart` moved as little as parts them, none out of the drawing; where
    there is no room for that, as far as it goes."""
    done = [list(spot) for spot in spots]
    for _ in range(_PUSHES):
        quiet = True
        for i, j in _pairs(done, apart):
            dx, dy = done[i][0] - done[j][0], done[i][1] - done[j][1]
            away = hypot(dx, dy)
            if away >= apart - 0.01:
                continue
            quiet = False
            # Of two at one place the later goes to the right.
            dx, dy, push = (dx / away, dy / away, (apart - away) / 2) if away > 1e-6 else (1.0, 0.0, apart / 2)
            for one, sign in ((i, push), (j, -push)):
                done[one][0] = min(max(done[one][0] + sign * dx, 0.0), size[0])
                done[one][1] = min(max(done[one][1] + sign * dy, 0.0), size[1])
        if quiet:
            break
    return [(x, y) for x, y in done]


def _pairs(spots: Sequence[Sequence[float]], apart: float) -> Iterator[tuple[int, int]]:
    """Pairs (later, earlier) that may be nearer than `apart`, in order."""
    for i, (x, y) in enumerate(spots):
        for j in range(i):
            if abs(x - spots[j][0]) < apart and abs(y - spots[j][1]) < apart:
                yield i, j
