"""The channel router: nets between a row of pins above and a row of pins below, right-angled, on tracks.

Every pin has a column. A net whose pins share one column is a straight line; every other net is a trunk on one track
with a branch to each of its pins. Two rules keep nets apart:

- conflict: trunks that would meet or touch lie on different tracks;
- vertical order: where net A has a pin above and net B a pin below in the same column, A's trunk lies above B's, for
  their branches would meet otherwise.

Vertical order can run in a circle. Then one net of the circle is cut in two by a dogleg: down in a free column.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple


class Net(NamedTuple):
    """A net in a channel: columns of its pins in the row above and in the row below."""

    key: str
    above: tuple[int, ...]
    below: tuple[int, ...]


class Trunk(NamedTuple):
    """A stretch of a net on a track. `up`, `down`: columns with branches to the row above and below; `on`: columns with
    branches to the net's next trunk (by a dogleg), which is further down."""

    net: str
    track: int
    left: int
    right: int
    up: tuple[int, ...]
    down: tuple[int, ...]
    on: tuple[int, ...]
    off: tuple[int, ...]  # columns with branches to the net's trunk before


class Channel(NamedTuple):
    """A routed channel: `straight` nets by key with their column; trunks; number of tracks (0 is the topmost)."""

    straight: dict[str, int]
    trunks: tuple[Trunk, ...]
    tracks: int


class _Piece:
    """A net, or the part of one above or below a dogleg, before it has a track."""

    __slots__ = ("down", "left", "net", "off", "on", "right", "track", "up")

    def __init__(
        self,
        net: str,
        up: Iterable[int],
        down: Iterable[int],
        on: Iterable[int] = (),
        off: Iterable[int] = (),
    ) -> None:
        self.net = net
        self.up, self.down, self.on, self.off = set(up), set(down), set(on), set(off)
        columns = self.up | self.down | self.on | self.off
        self.left, self.right = min(columns), max(columns)
        self.track = -1


def route(nets: Sequence[Net], pitch: int = 6) -> Channel:
    """Route a channel. `pitch` is the least distance between columns; pins must keep it.

    The row above and the row below may each have one net in a column; the caller sees to that.
    """
    straight: dict[str, int] = {}
    pieces: list[_Piece] = []
    for net in nets:
        columns = set(net.above) | set(net.below)
        if len(columns) == 1 and net.above and net.below:
            straight[net.key] = next(iter(columns))
        elif len(columns) > 1:
            pieces.append(_Piece(net.key, net.above, net.below))
    taken = {column for net in nets for column in (*net.above, *net.below)}
    before = _vertical_order(pieces)
    while circle := _circle(before):
        before = _dogleg(pieces, circle, taken, pitch, before)
    order = _order(pieces, before)
    tracks = _assign(order, before, pieces, pitch)
    trunks = tuple(
        Trunk(
            p.net,
            p.track,
            p.left,
            p.right,
            tuple(sorted(p.up)),
            tuple(sorted(p.down)),
            tuple(sorted(p.on)),
            tuple(sorted(p.off)),
        )
        for p in pieces
    )
    return Channel(straight, trunks, tracks)


def _vertical_order(pieces: list[_Piece]) -> list[set[int]]:
    """For each piece the pieces that must lie above it."""
    top_at = {column: number for number, piece in enumerate(pieces) for column in piece.up}
    before: list[set[int]] = [set() for _ in pieces]
    last: dict[str, int] = {}
    for number, piece in enumerate(pieces):
        for column in piece.down:
            upper = top_at.get(column)
            if upper is not None and upper != number:
                before[number].add(upper)
        if piece.off:
            before[number].add(last[piece.net])
        last[piece.net] = number
    return before


def _circle(before: list[set[int]]) -> list[int]:
    """Pieces that go round in a circle, or nothing."""
    state = [0] * len(before)
    for start in range(len(before)):
        trail: list[tuple[int, list[int]]] = []
        if not state[start]:
            trail.append((start, sorted(before[start])))
            state[start] = 1
        while trail:
            node, rest = trail[-1]
            if not rest:
                state[node] = 2
                trail.pop()
                continue
            following = rest.pop()
            if state[following] == 1:
                names = [n for n, _ in trail]
                return names[names.index(following) :]
            if state[following] == 0:
                state[following] = 1
                trail.append((following, sorted(before[following])))
    return []


def _dogleg(
    pieces: list[_Piece], circle: list[int], taken: set[int], pitch: int, before: list[set[int]]
) -> list[set[int]]:
    """Cut the shortest net of a circle that can be cut, in the free column nearest to it."""
    best: tuple[int, int, int] | None = None
    chosen = 0
    for number in circle:
        piece = pieces[number]
        if not (piece.up or piece.off) or not (piece.down or piece.on):
            continue
        column = _free_column(piece.left, piece.right, taken, pitch)
        extra = max(0, piece.left - column) + max(0, column - piece.right)
        if best is None or (extra, piece.right - piece.left, number) < best:
            best = (extra, piece.right - piece.left, number)
            chosen = column
    assert best is not None, before
    old = pieces[best[2]]
    taken.add(chosen)
    upper = _Piece(old.net, old.up, (), {chosen}, old.off)
    lower = _Piece(old.net, (), old.down, old.on, {chosen})
    pieces[best[2] : best[2] + 1] = [upper, lower]
    return _vertical_order(pieces)


def _free_column(left: int, right: int, taken: set[int], pitch: int) -> int:
    """A column in which no pin stands: nearest to the middle of the net, else the nearest outside."""
    middle = (left + right) // 2 // pitch * pitch
    step = 0
    while True:
        for column in (middle + step, middle - step):
            if all(abs(column - other) >= pitch for other in taken):
                return column
        step += pitch


def _order(pieces: list[_Piece], before: list[set[int]]) -> list[int]:
    """Pieces from the top down: one that must lie above comes first; among the rest the one that crosses least."""
    count = len(pieces)
    cost = [[0] * count for _ in range(count)]
    for a in range(count):
        for b in range(count):
            if a != b:
                cost[a][b] = _crossings(pieces[a], pieces[b])
    left = set(range(count))
    waits = [set(b) for b in before]
    order: list[int] = []
    while left:
        ready = [n for n in sorted(left) if not waits[n] & left]
        chosen = min(ready, key=lambda n: (sum(cost[n][m] - cost[m][n] for m in left if m != n), pieces[n].left, n))
        left.remove(chosen)
        order.append(chosen)
    return order


def _crossings(upper: _Piece, lower: _Piece) -> int:
    """Crossings of two nets if the first lies above the second."""
    return sum(upper.left < c < upper.right for c in (*lower.up, *lower.off)) + sum(
        lower.left < c < lower.right for c in (*upper.down, *upper.on)
    )


def _assign(order: list[int], before: list[set[int]], pieces: list[_Piece], pitch: int) -> int:
    """Give tracks in order: each piece as high as its predecessors and its conflicts allow."""
    tracks = 0
    done: list[int] = []

    for number in order:
        piece = pieces[number]
        lowest = max((pieces[other].track + 1 for other in before[number]), default=0)
        for other in done:
            rival = pieces[other]
            if rival.left < piece.right + pitch and piece.left < rival.right + pitch:
                # Order decided who lies above; keeping to it keeps the crossings counted there.
                lowest = max(lowest, rival.track + 1)
        piece.track = lowest

        tracks = max(tracks, lowest + 1)
        done.append(number)
    return tracks
