"""Drawing of sheets, beside the time of dot alone on the same graphs; crossings and bends beside those of dot's own
orthogonal lines. Run with `bash tests/run tests/benchmarks/bench_sheets.py -s`; ratios within one run are what counts."""

from __future__ import annotations

from functools import cache
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from compiler.model.variant import Variant
from renderers.sheets import SheetFigure, draw_sheets
from renderers.sheets.dot import answered, run_dot
from renderers.sheets.pages import Paginator, SheetPage
from renderers.sheets.plan import plan_sheets
from renderers.sheets.potential import potentials
from tests.chaos.variants import make_variant
from tests.sheets.conftest import SAMPLES, read

Line = list[tuple[float, float]]


@cache
def sample() -> Variant:
    return read(SAMPLES["S4"])


@cache
def figures() -> list[SheetFigure]:
    return list(draw_sheets(sample()).values())


def graphs() -> list[str]:
    """The graphs of all drawings; a page of several has several."""
    return [f"digraph{text}" for figure in figures() for text in figure.dot.split("digraph")[1:]]


def test_all_sheets_of_a_variant(benchmark: Any) -> None:
    done = benchmark.pedantic(draw_sheets, args=(sample(),), rounds=3, iterations=1)
    benchmark.extra_info["pages"] = len(done)
    benchmark.extra_info["ms a page"] = round(benchmark.stats["min"] * 1000 / len(done), 1)


def test_dot_alone_on_the_same_graphs(benchmark: Any) -> None:
    benchmark.pedantic(run_dot, args=(graphs(),), rounds=3, iterations=1)
    benchmark.extra_info["ms a page"] = round(benchmark.stats["min"] * 1000 / len(figures()), 1)


def test_dot_alone_one_run_a_graph(benchmark: Any) -> None:
    benchmark.pedantic(lambda: [run_dot([graph]) for graph in graphs()], rounds=3, iterations=1)
    benchmark.extra_info["ms a page"] = round(benchmark.stats["min"] * 1000 / len(figures()), 1)


@pytest.mark.parametrize("wires", [200, 1000, 5000])
def test_growth(benchmark: Any, wires: int, tmp_path: Path) -> None:
    path = tmp_path / "v.loom"
    path.write_text(make_variant(1, wires))
    variant = read(path)
    done = benchmark.pedantic(draw_sheets, args=(variant,), rounds=1, iterations=1)
    benchmark.extra_info["pages"] = len(done)
    benchmark.extra_info["ms a wire"] = round(benchmark.stats["min"] * 1000 / wires, 2)


# -- crossings and bends ---------------------------------------------------------------------------------------------
class Counted(NamedTuple):
    """What was counted on a page."""

    wires: int
    crossings: int
    bends: int
    shared: int


def ours(page: SheetPage) -> Counted:
    """Our own routes."""
    return _count(list(map(list, page.layout.lines.values())))


def dots(page: SheetPage) -> Counted:
    """The same boxes at their true size and the same wires, placed and routed by dot alone. Its orthogonal routes know no
    terminals: they may end anywhere on a box, which spares it bends and crossings that a drawing of wires cannot spare."""
    total = Counted(0, 0, 0, 0)
    for layout in page.layouts:
        names = {key: f"n{i}" for i, key in enumerate(layout.boxes)}
        text = [
            "digraph g { graph [splines=ortho, nodesep=0.1, ranksep=0.4, newrank=true]; node [shape=box, fixedsize=true];"
        ]
        text += [f"{names[k]} [width={b.width / 72:.4f}, height={b.height / 72:.4f}];" for k, b in layout.boxes.items()]
        text += [
            f"{names[k.upper.unit]} -> {names[k.lower.unit]};"
            for k in layout.scene.links
            if k.upper.unit != k.lower.unit
        ]
        lines = [_corners(row) for row in run_dot(["\n".join([*text, "}"])])[0].splitlines() if row.startswith("edge")]
        total = Counted(*(a + b for a, b in zip(total, _count(lines), strict=True)))
    return total


def _corners(row: str) -> Line:
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


def _count(lines: list[Line]) -> Counted:
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


def test_crossings_and_bends_beside_dot(capsys: pytest.CaptureFixture[str]) -> None:
    level = potentials(sample())
    pages = answered(Paginator(sample(), level).pages(plan_sheets(sample())))
    found = [(page.name, ours(page), dots(page)) for page in pages]
    with capsys.disabled():
        print("\n            ours: wires crossings  bends shared   dot: crossings  bends shared")
        for name, one, other in found:
            print(f"{name:12}" + "".join(f"{n:9}" for n in (*one, *other[1:])))
        sums = [sum(row[i][n] for row in found) for i in (1, 2) for n in range(4)]
        print("all         " + "".join(f"{n:9}" for n in (*sums[:4], *sums[5:])))
    assert sum(one.shared for _, one, _ in found) == 0
