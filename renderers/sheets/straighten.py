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
_WAY = 0.004  # what a point of sideways way costs, a bend being 1


def straighten(placement: Placement, boxes: Mapping[str, Box], wide: float = math.inf) -> int:
    """Shift spots of a placement; order in the ranks stays. Nothing goes beyond a width from 0, if one is given.

    How many jogs are left is the answer.
    """
    return _Straightener(placement, boxes, wide).run()


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

    def run(self) -> int:
        """Try every jog, the smallest first, until nothing helps; how many are left is the answer."""
        for _ in range(_ROUNDS):
            jogs = sorted((abs(self._jog(n)), n) for n in range(len(self.legs)))
            if not any(self._mend(n) for jog, n in jogs if jog):
                break
        return sum(self._jog(n) != 0 for n in range(len(self.legs)))

    def _jog(self, number: int) -> int:
        a, at_a, b, at_b = self.legs[number]
        return self.spots[b].x + at_b - self.spots[a].x - at_a

    def _mend(self, number: int) -> bool:
        jog = self._jog(number)
        if not jog:
            return False
        a, _, b, _ = self.legs[number]
        best: tuple[float, frozenset[str], int] | None = None
        for start, stop, way in ((b, a, -jog), (a, b, jog)):
            block = self._block(start)
            for group in (block, frozenset((start,)), self._pushed(block, way)):
                if stop in group or not self._free(group, way):
                    continue
                gain = self._gain(group, way)
                if gain > 1e-6 and (best is None or gain > best[0] + 1e-9):
                    best = (gain, group, way)
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

    def _free(self, group: frozenset[str], way: int) -> bool:
        for key in group:
            spot = self.spots[key]
            other = self.beside[key][way > 0]
            if other is not None and other.key in group:
                continue
            if way > 0 and spot.x + spot.width + way > (other.x if other else self.rims[1]):
                return False
            if way < 0 and (other.x + other.width if other else self.rims[0]) > spot.x + way:
                return False
        return True

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
