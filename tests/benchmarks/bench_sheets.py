"""Drawing of sheets, beside the time of dot alone on the same graphs; crossings and bends beside those of dot's own
orthogonal lines. Run with `bash tests/run tests/benchmarks/bench_sheets.py -s`; ratios within one run are what counts."""

from __future__ import annotations

import re
import subprocess
import time
from collections.abc import Iterator
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import pytest

from compiler.model.variant import Variant
from renderers.sheets import SheetFigure, dot_program, draw_sheets
from renderers.sheets.dot import run_dot
from renderers.sheets.measure import measure
from tests.chaos.variants import make_variant
from tests.sheets.conftest import SAMPLES, read

Line = list[tuple[float, float]]


@cache
def sample() -> Variant:
    return read(SAMPLES["S4"])


@cache
def figures() -> list[SheetFigure]:
    return list(draw_sheets(sample()).values())


def test_all_sheets_of_a_variant(benchmark: Any) -> None:
    done = benchmark.pedantic(draw_sheets, args=(sample(),), rounds=3, iterations=1)
    benchmark.extra_info["pages"] = len(done)
    benchmark.extra_info["ms a page"] = round(benchmark.stats["min"] * 1000 / len(done), 1)


def test_dot_alone_on_the_same_graphs(benchmark: Any) -> None:
    graphs = [figure.dot for figure in figures()]
    benchmark.pedantic(run_dot, args=(graphs,), rounds=3, iterations=1)
    benchmark.extra_info["ms a page"] = round(benchmark.stats["min"] * 1000 / len(graphs), 1)


def test_dot_alone_one_run_a_graph(benchmark: Any) -> None:
    graphs = [figure.dot for figure in figures()]
    benchmark.pedantic(lambda: [run_dot([graph]) for graph in graphs], rounds=3, iterations=1)
    benchmark.extra_info["ms a page"] = round(benchmark.stats["min"] * 1000 / len(graphs), 1)


@pytest.mark.parametrize("wires", [200, 1000, 5000])
def test_growth(benchmark: Any, wires: int, tmp_path: Path) -> None:
    path = tmp_path / "v.loom"
    path.write_text(make_variant(1, wires))
    variant = read(path)
    done = benchmark.pedantic(draw_sheets, args=(variant,), rounds=1, iterations=1)
    benchmark.extra_info["pages"] = len(done)
    benchmark.extra_info["ms a wire"] = round(benchmark.stats["min"] * 1000 / wires, 2)


# -- crossings and bends ---------------------------------------------------------------------------------------------
def ortho(graph: str) -> tuple[int, int, int]:
    """Wires, crossings and bends of a page's graph with dot's own orthogonal lines. dot's routes know no ports, and the
    points where our wires pass a rank are nodes to it, so its wires come in legs: bends at the joints are not counted."""
    text = graph.replace("splines=none", "splines=ortho")
    done = subprocess.run([dot_program(), "-Tplain"], input=text, capture_output=True, text=True, check=True)
    lines: list[Line] = []
    for row in done.stdout.splitlines():
        if row.startswith("edge") and "invis" not in row:
            count = int(re.split(r" +", row)[3])
            numbers = [float(n) for n in re.findall(r" (-?[\d.]+(?:e-?\d+)?)", row.split(" ", 3)[3])[: 2 * count + 1]]
            points = list(zip(numbers[1::2], numbers[2::2], strict=False)) if len(numbers) % 2 else []
            points = points or list(zip(numbers[::2], numbers[1::2], strict=False))
            lines.append(corners(points))
    cuts = sum(crossings(a, b) for a, b in combinations(lines, 2))
    return len(lines), cuts, sum(max(0, len(line) - 2) for line in lines)


def corners(points: Line) -> Line:
    """The corners of a route: a straight spline repeats its points."""
    done: Line = []
    for point in points:
        if done and point == done[-1]:
            continue
        if len(done) > 1 and (
            done[-2][0] == done[-1][0] == point[0] or done[-2][1] == done[-1][1] == point[1]
        ):
            done[-1] = point
        else:
            done.append(point)
    return done


def crossings(one: Line, other: Line) -> int:
    """How often two right-angled lines cross."""
    return sum(
        (a[0] == b[0]) != (c[0] == d[0]) and _cross(a, b, c, d) for a, b in pairwise(one) for c, d in pairwise(other)
    )


def _cross(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]) -> bool:
    if a[0] != b[0]:
        a, b, c, d = c, d, a, b
    return min(a[1], b[1]) < c[1] < max(a[1], b[1]) and min(c[0], d[0]) < a[0] < max(c[0], d[0])


def rows() -> Iterator[tuple[str, float, float, float, float]]:
    """Sheet, our crossings and bends a wire, and those of dot."""
    for figure in figures():
        # A page of several drawings has several graphs, each asked for by itself.
        ours = measure(figure.svg)
        counts = [ortho(f"digraph{graph}") for graph in figure.dot.split("digraph")[1:]]
        wires = max(1, ours.wires)
        yield (
            figure.sheet,
            ours.crossings / wires,
            ours.bends / wires,
            sum(c for _, c, _ in counts) / wires,
            sum(b for _, _, b in counts) / wires,
        )


def test_crossings_and_bends_beside_dot(capsys: pytest.CaptureFixture[str]) -> None:
    start = time.perf_counter()
    found = list(rows())
    with capsys.disabled():
        print("\nsheet     crossings a wire   bends a wire   dot's crossings   dot's bends")
        for sheet, *values in found:
            print(f"{sheet:10}" + "".join(f"{value:16.2f}" for value in values))
        means = [sum(row[n] for row in found) / len(found) for n in range(1, 5)]
        print("mean      " + "".join(f"{value:16.2f}" for value in means), f"  {time.perf_counter() - start:.1f} s")
    assert means[0] < means[2], "our routes should cross less than dot's"
