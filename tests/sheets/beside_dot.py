"""Crossings and bends of our lines, beside those that dot alone makes with orthogonal lines on the same graphs."""

from __future__ import annotations

from itertools import combinations, pairwise
from typing import NamedTuple

from renderers.sheets import DotError
from renderers.sheets.dot import run_dot
from renderers.sheets.layout import Layout
from renderers.sheets.pages import SheetPage

Line = list[tuple[float, float]]


class Counted(NamedTuple):
    """What was counted. `shared`: pairs of lines that run on each other; `lost`: wires for which dot drew no line."""

    wires: int = 0
    crossings: int = 0
    bends: int = 0
    shared: int = 0
    lost: int = 0

    def plus(self, other: Counted) -> Counted:
        """Both together."""
        return Counted(*(a + b for a, b in zip(self, other, strict=True)))


def ours(page: SheetPage) -> Counted:
    """Our own lines of a page."""
    return count(list(map(list, page.layout.lines.values())))


def dots(page: SheetPage, program: str | None = None) -> Counted:
    """The same boxes at their true size and the same wires, placed and routed by dot alone. Its orthogonal lines know no
    terminals: they may end anywhere on a box, which spares it bends and crossings that a drawing of wires cannot spare."""
    total = Counted()
    for layout in page.layouts:
        graph, wires = _graph(layout)
        try:
            (answer,) = run_dot([graph], program)
        except DotError:
            total = total.plus(Counted(wires, lost=wires))
            continue
        lines = [corners(row) for row in answer.splitlines() if row.startswith("edge")]
        total = total.plus(count(lines)._replace(wires=wires, lost=wires - len(lines)))
    return total


def _graph(layout: Layout) -> tuple[str, int]:
    """The graph of a drawing for dot, with its number of wires; one from a box to itself is left out."""
    names = {key: f"n{i}" for i, key in enumerate(layout.boxes)}
    text = [
        "digraph g { graph [splines=ortho, nodesep=0.1, ranksep=0.4, newrank=true]; node [shape=box, fixedsize=true];"
    ]
    text += [f"{names[k]} [width={b.width / 72:.4f}, height={b.height / 72:.4f}];" for k, b in layout.boxes.items()]
    pairs = [(k.upper.unit, k.lower.unit) for k in layout.scene.links if k.upper.unit != k.lower.unit]
    text += [f"{names[a]} -> {names[b]};" for a, b in pairs]
    return "\n".join([*text, "}"]), len(pairs)


def corners(row: str) -> Line:
    """The corners of an edge in dot's plain format: a straight spline repeats its points."""
    words = row.split()
    numbers = [round(float(n), 3) for n in words[4 : 4 + 2 * int(words[3])]]
    done: Line = []
    for point in zip(numbers[::2], numbers[1::2], strict=True):
        if done and point == done[-1]:
            continue
        if len(done) > 1 and (done[-2][0] == done[-1][0] == point[0] or done[-2][1] == done[-1][1] == point[1]):
            done[-1] = point
        else:
            done.append(point)
    return done


def count(lines: list[Line]) -> Counted:
    """Crossings, bends and pairs that run on each other of some lines of upright and level pieces."""
    pieces = [(n, a, b) for n, line in enumerate(lines) for a, b in pairwise(line)]
    cuts = shared = 0
    for (n, a, b), (m, c, d) in combinations(pieces, 2):
        if n == m:
            continue
        if a[0] == b[0] == c[0] == d[0]:
            shared += min(max(a[1], b[1]), max(c[1], d[1])) - max(min(a[1], b[1]), min(c[1], d[1])) > 0.001
        elif a[1] == b[1] == c[1] == d[1]:
            shared += min(max(a[0], b[0]), max(c[0], d[0])) - max(min(a[0], b[0]), min(c[0], d[0])) > 0.001
        elif (a[0] == b[0]) != (c[0] == d[0]):
            (p, q), (r, s) = ((a, b), (c, d)) if a[0] == b[0] else ((c, d), (a, b))
            cuts += min(p[1], q[1]) < r[1] < max(p[1], q[1]) and min(r[0], s[0]) < p[0] < max(r[0], s[0])
    return Counted(len(lines), cuts, sum(max(0, len(line) - 2) for line in lines), shared)
