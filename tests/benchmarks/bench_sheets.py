"""Drawing of sheets, beside the time of dot alone on the same graphs; crossings and bends beside those of dot's own
orthogonal lines. Run with `bash tests/run tests/benchmarks/bench_sheets.py -s`; ratios within one run are what counts."""

from __future__ import annotations

from functools import cache, reduce
from pathlib import Path
from typing import Any

import pytest

from compiler.model.variant import Variant
from renderers.sheets import SheetFigure, draw_sheets
from renderers.sheets.dot import run_dot
from renderers.sheets.sheets import Drawing
from tests.chaos.variants import make_variant
from tests.sheets.beside_dot import Counted, dots, ours
from tests.sheets.conftest import SAMPLES, read


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


def test_crossings_and_bends_beside_dot(capsys: pytest.CaptureFixture[str]) -> None:
    drawing = Drawing(sample())
    drawing.figures()
    pages = drawing.laid_out()
    counted = [(ours(page), dots(page)) for page in pages.values()]
    with capsys.disabled():
        print("\n            ours: wires crossings  bends shared   dot: crossings  bends shared   lost")
        for name, (one, other) in zip(pages, counted, strict=True):
            print(f"{name:12}" + "".join(f"{n:9}" for n in (*one[:4], *other[1:])))
        all_ours, all_dots = (reduce(Counted.plus, (row[i] for row in counted)) for i in (0, 1))
        print("all         " + "".join(f"{n:9}" for n in (*all_ours[:4], *all_dots[1:])))
    assert all_ours.shared == 0
