"""Taking small jogs out of wires: boxes and passing wires are shifted within their free room until wires run straight.

dot leaves many wires a step or two beside the straight, because it sees each rank's room but weighs all wires alike. Here
each leg that has a jog is tried: whatever hangs straight on one of its ends is shifted as one by the jog. A shift stays if
nothing meets and the bends saved are worth the way.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from renderers.sheets.box import GRID, Box
from renderers.sheets.place import Leg, Placement, Spot

_ROUNDS = 8
_DRAFT = 8  # shifts
_WAY = 0.004  # what a point of sideways way costs, a bend being 1


def straighten(placement: Placement, boxes: Mapping[str, Box], wide: float = math.inf, thorough: bool = False) -> int:
    """Shift spots of a placement; order in the ranks stays. Nothing goes beyond a width from 0, if one is given.

    How many jogs are left is the answer. A draft gets only the shifts that are first in line; `thorough`: all, and at the
    end long ways are made shorter where they cannot be spared.
    """
    straightener = _Straightener(placement, boxes, wide)
    straightener.run(math.inf if thorough else _DRAFT)
    if thorough:
        straightener.shorten()
    return straightener.jogs()


class _Straightener:
    def __init__(self, placement: Placement, boxes: Mapping[str, Box], wide: float) -> None:
        self.blocks: dict[str, frozenset[str]] = {}
        self.rims = (-math.inf if wide == math.inf else 0, wide)
        self.spots = placement.spots
        self.legs: list[tuple[str, int, str, int]] = []
        self.at: dict[str, list[int]] = {key: [] for key in self.spots}
        self.beside: dict[str, tuple[Spot | None, Spot | None]] = {}
        offset: dict[tuple[str, str, int], int] = {}
        for key, box in boxes.items():
            for port in box.ports:
                offset.setdefault((key, port.link, port.face), port.x)
        for rank in placement.ranks:
            for index, spot in enumerate(rank):
                left = rank[index - 1] if index else None
                self.beside[spot.key] = (left, rank[index + 1] if index + 1 < len(rank) else None)
        for legs in placement.legs.values():
            for leg in legs:
                self._add(leg, offset)

    def _add(self, leg: Leg, offset: Mapping[tuple[str, str, int], int]) -> None:
        (a, face_a), (b, face_b) = leg.a, leg.b
        if a == b:
            return
        ends = []
        for key, face in ((a, face_a), (b, face_b)):
            ends.append(GRID if self.spots[key].link else offset[key, leg.link, face])
        self.at[a].append(len(self.legs))
        self.at[b].append(len(self.legs))
        self.legs.append((a, ends[0], b, ends[1]))

    def run(self, most: float) -> None:
        """Try every jog, the smallest first, until nothing helps or the most shifts are made."""
        made = 0
        for _ in range(_ROUNDS):
            before = made
            for _, number in sorted((abs(self._jog(n)), n) for n in range(len(self.legs))):
                if made < most:
                    made += self._mend(number)
            if made == before:
                break

    def shorten(self) -> None:
        """Bring what cannot hang straight as near to it as there is room."""
        for number in range(len(self.legs)):
            self._mend(number, in_part=True)

    def jogs(self) -> int:
        """How many legs do not hang straight."""
        return sum(self._jog(n) != 0 for n in range(len(self.legs)))

    def _jog(self, number: int) -> int:
        a, at_a, b, at_b = self.legs[number]
        return self.spots[b].x + at_b - self.spots[a].x - at_a

    def _mend(self, number: int, in_part: bool = False) -> bool:
        jog = self._jog(number)
        if not jog:
            return False
        a, _, b, _ = self.legs[number]
        best: tuple[float, frozenset[str], int] | None = None
        for start, stop, way in ((b, a, -jog), (a, b, jog)):
            block = self._block(start)
            for group in (block, frozenset((start,)), self._pushed(block, way)):
                step = self._step(group, way)
                if stop in group or not step or (step != way and not in_part):
                    continue
                gain = self._gain(group, step)
                if gain > 1e-6 and (best is None or gain > best[0] + 1e-9):
                    best = (gain, group, step)
        if best is None:
            return False
        for key in best[1]:
            self.spots[key].x += best[2]
        self.blocks.clear()
        return True

    def _block(self, start: str) -> frozenset[str]:
        """All spots that hang straight on one."""
        if (known := self.blocks.get(start)) is not None:
            return known
        block, todo = {start}, [start]
        while todo:
            for number in self.at[todo.pop()]:
                if self._jog(number) == 0:
                    a, _, b, _ = self.legs[number]
                    for key in (a, b):
                        if key not in block:
                            block.add(key)
                            todo.append(key)
        found = frozenset(block)
        self.blocks.update(dict.fromkeys(found, found))
        return found

    def _pushed(self, block: frozenset[str], way: int) -> frozenset[str]:
        """A block with all that it pushes before it on its way, each with what hangs straight on it."""
        group, todo = set(block), list(block)
        while todo:
            spot = self.spots[key := todo.pop()]
            other = self.beside[key][way > 0]
            if other is None or other.key in group:
                continue
            room = other.x - spot.x - spot.width if way > 0 else spot.x - other.x - other.width
            if room < abs(way):
                more = self._block(other.key) - group
                group |= more
                todo += more
        return frozenset(group)

    def _step(self, group: frozenset[str], way: int) -> int:
        """How much of its way a group can go before it meets something, on the grid."""
        room: float = abs(way)
        for key in group:
            spot = self.spots[key]
            other = self.beside[key][way > 0]
            if other is not None and other.key in group:
                continue
            if way > 0:
                room = min(room, (other.x if other else self.rims[1]) - spot.x - spot.width)
            else:
                room = min(room, spot.x - (other.x + other.width if other else self.rims[0]))
        step = max(0, int(room)) // GRID * GRID
        return step if way > 0 else -step

    def _gain(self, group: frozenset[str], way: int) -> float:
        gain = 0.0
        for key in group:
            for number in self.at[key]:
                a, _, b, _ = self.legs[number]
                if (a in group) == (b in group):
                    continue
                now = self._jog(number)
                then = now + (way if b in group else -way)
                gain += _cost(now) - _cost(then)
        return gain


def _cost(jog: int) -> float:
    return 1 + _WAY * abs(jog) if jog else 0.0
