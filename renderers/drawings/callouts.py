"""Call-outs around a drawing: labels in two columns beside it, a line from each to its point, no line across another.

The points are parted by a vertical line, so that the lines of one side never meet those of the other. On a side the
labels stand at heights that suit its points; then, from the top label down, each takes the point that lets all others
lie below its line: the first one that a ray from the label meets as it turns down from the upright. Labels further down
begin below that line and their points lie below it, so that their lines cannot cross it.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from math import hypot
from typing import Literal, NamedTuple

_CLEAR = 2.6  # a line this near the middle of a mark runs over it, points
# Ways to space the labels of a side: how far from beside their points towards evenly down the side, and all of them
# moved by so many steps.
_WAYS = tuple(
    (blend, shift) for blend in (0.0, 0.3, 0.6, 1.0) for shift in (0.0, 0.4, -0.4, 0.9, -0.9, 1.6, -1.6, 2.5, -2.5)
)
_FEW = 40  # labels of a side that are tried one by one; of more it would take longer than it is worth
_NUDGES = (0.5, -0.5, 1.0, -1.0, 2.0, -2.0, 4.0, -4.0)
Side = Literal["left", "right"]
Spot = tuple[float, float]


class CallOut(NamedTuple):
    """A call-out: which spot it is of, on which side its label stands, and at what height its line begins."""

    spot: int
    side: Side
    height: float


def call_outs(spots: Sequence[Spot], width: float, air: float, step: float, tall: float) -> list[CallOut]:
    """Call-outs for spots of a drawing `width` wide, the lines of which begin `air` beside it.

    step   least distance between labels
    tall   height of the drawing; the labels stand between 0 and it, so it must leave a step for each of a side

    Spots at one place share the end of their lines.
    """
    left, right = sides(spots, width)
    return [*_placed(spots, left, "left", -air, step, tall), *_placed(spots, right, "right", width + air, step, tall)]


def sides(spots: Sequence[Spot], width: float) -> tuple[list[int], list[int]]:
    """Spots for the left and the right column: by half, then evened out so that neither runs far longer."""
    by_x = sorted(range(len(spots)), key=lambda i: (*spots[i], i))
    middle = sum(x <= width / 2 for x, _ in spots)
    half = len(by_x) / 2
    split = round(min(max(middle, half * 0.7), half * 1.3)) if len(by_x) > 1 else middle
    return by_x[:split], by_x[split:]


def _placed(
    spots: Sequence[Spot], own: Sequence[int], side: Side, start: float, step: float, tall: float
) -> list[CallOut]:
    """The call-outs of a side: of many ways to space the labels one whose lines run over few marks of others."""

    def spaced(wanted: Sequence[float]) -> tuple[tuple[int, float], list[CallOut]]:
        outs = _joined(spots, own, side, start, _heights(wanted, step, tall))
        over = sum(_runs_over(spots, own, out, start) for out in outs)
        return (over, sum(abs(out.height - spots[out.spot][1]) for out in outs)), outs

    near = _heights(sorted(spots[i][1] for i in own), step, tall)
    even = [step / 2 + (tall - step) * (n + 0.5) / max(len(own), 1) for n in range(len(own))]
    cost, best = spaced(near)
    for blend, shift in _WAYS if cost[0] else ():
        other = spaced([y + blend * (e - y) + shift * step for y, e in zip(near, even, strict=True)])
        if other[0] < cost:
            cost, best = other
    # Then label by label, those that are in the way.
    for place, shift in product(range(len(best)), _NUDGES) if cost[0] and len(best) <= _FEW else ():
        if _runs_over(spots, own, best[place], start):
            other = spaced([out.height + shift * step * (n == place) for n, out in enumerate(best)])
            if other[0] < cost:
                cost, best = other
    return best


def _joined(
    spots: Sequence[Spot], own: Sequence[int], side: Side, start: float, heights: Sequence[float]
) -> list[CallOut]:
    left = list(own)
    done = []
    for height in heights:
        # Steepness of the line to a spot: the least is met first by a ray that turns down from the upright.
        taken = min(left, key=lambda i: _turn(spots[i], start, height))
        left.remove(taken)
        done.append(CallOut(taken, side, height))
    return done


def _turn(spot: Spot, start: float, height: float) -> tuple[float, float]:
    away = abs(spot[0] - start)
    return ((spot[1] - height) / away, away)


def _runs_over(spots: Sequence[Spot], own: Sequence[int], out: CallOut, start: float) -> int:
    """How many marks of other spots the line of a call-out runs over."""
    x, y = spots[out.spot]
    away, down = x - start, y - out.height
    long = hypot(away, down)
    count = 0
    for i in own:
        a, b = spots[i][0] - start, spots[i][1] - out.height
        along = (a * away + b * down) / long
        # Marks at the line's own end hide nothing that could be parted.
        if 0 < along < long and abs(a * down - b * away) / long < _CLEAR and hypot(a - away, b - down) > _CLEAR:
            count += 1
    return count


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
