"""Which test next: the best information for its minutes; for few groups, the order that is best in full."""

from __future__ import annotations

import numpy as np

from compiler.isolation.board import Alive, Board

_NOTHING = 1e-9


class Chooser:
    """Chooses on one board. `refused` are tests never to be offered."""

    def __init__(self, board: Board, refused: frozenset[int] = frozenset(), exact_groups: int | None = None) -> None:
        self.board, self.refused = board, refused
        limit = board.rules("limits", "exact_groups") if exact_groups is None else exact_groups
        self.exact_groups = int(limit)
        self._best: dict[tuple[Alive, int], tuple[float, int]] = {}
        self._matters: dict[Alive, int] = {}
        self._useful: dict[Alive, list[int]] = {}

    def next(self, alive: Alive, opened: int) -> int | None:
        """The test to do now, or None when no test tells the groups apart that are left."""
        if len(alive) < 2:
            return None
        useful = self.useful(alive)
        if not useful:
            return None
        if len({int(self.board.label[n]) for n in alive}) <= self.exact_groups:
            return self.exact(alive, opened)[1]
        return useful[self._greedy(alive, opened, useful)]

    def useful(self, alive: Alive) -> list[int]:
        """Tests that give any information about the group."""
        if alive not in self._useful:
            bits = self.board.split(alive).bits
            self._useful[alive] = [n for n in np.flatnonzero(bits > _NOTHING).tolist() if n not in self.refused]
        return self._useful[alive]

    def matters(self, alive: Alive) -> int:
        """Places (bits) that some useful test has to get at: whether others are open makes no difference any more."""
        if alive not in self._matters:
            found = 0
            for test in self.useful(alive) if len(alive) > 1 else ():
                found |= self.board.opens[test]
            self._matters[alive] = found
        return self._matters[alive]

    def ranked(self, alive: Alive, opened: int) -> list[int]:
        """Useful tests, the most bits a minute first."""
        bits, board = self.board.split(alive).bits.tolist(), self.board
        costs = ((board.cost(n, opened), n) for n in self.useful(alive))
        return [n for _, _, n in sorted((-bits[n] / cost, cost, n) for cost, n in costs)]

    def _greedy(self, alive: Alive, opened: int, useful: list[int]) -> int:
        bits, board = self.board.split(alive).bits.tolist(), self.board
        return max(range(len(useful)), key=lambda n: (bits[useful[n]] / board.cost(useful[n], opened), -n))

    # -- in full -------------------------------------------------------------------------------------------------
    def exact(self, alive: Alive, opened: int) -> tuple[float, int]:
        """The least expected minutes to one group, and the test to begin with (-1: none is left to do)."""
        opened &= self.matters(alive)
        key = (alive, opened)
        if key in self._best:
            return self._best[key]
        board = self.board
        tests = self._distinct(alive, opened)
        if not tests:
            self._best[key] = (0.0, -1)
            return self._best[key]
        weight = board.weight[list(alive)]
        total = float(weight.sum())
        best, first = float("inf"), -1
        for test in tests:
            value = board.cost(test, opened)
            if value >= best:
                continue
            now = opened | board.opens[test]
            for members in board.parted(test, alive):
                part = float(board.weight[list(members)].sum()) / total
                value += part * self.exact(members, now)[0]
                if value >= best:
                    break
            if value < best - _NOTHING:
                best, first = value, test
        self._best[key] = (best, first)
        return self._best[key]

    def _distinct(self, alive: Alive, opened: int) -> list[int]:
        """Useful tests, of those that split alike and open the same the cheapest; promising ones first."""
        board, split = self.board, self.board.split(alive)
        kept: dict[tuple[bytes, int], int] = {}
        for test in self.ranked(alive, opened):
            key = (split.clusters[test].tobytes(), board.opens[test] & ~opened)
            if key not in kept or board.cost(test, opened) < board.cost(kept[key], opened):
                kept[key] = test
        return list(kept.values())
