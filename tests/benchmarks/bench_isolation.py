"""Fault isolation: the chart of one complaint of the demo and all charts of its source complaints, and one choice of the
next test in a generated variant of 5,000 wires, all that leads to it included, beside solving that network once. Run with
`bash tests/run tests/benchmarks`; ratios within one run are what counts."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest

import loomwright
from compiler.circuit.graph import Graph
from compiler.isolation.bench import Bench
from compiler.isolation.search import Search
from compiler.isolation.tree import tree
from compiler.isolation.types import Complaint
from compiler.network.network import Network
from compiler.network.settle import settle
from compiler.network.state import State
from tests.chaos.variants import make_variant
from tests.network.circuits import variant_of

pytestmark = pytest.mark.usefixtures("without_collector")
DEMO = Path(__file__).parents[2] / "samples" / "sandpiper" / "S4.loom"
WIRES = 5_000
GROUP = f"next test, {WIRES} wires"


@cache
def demo() -> Network:
    return Network(Graph(loomwright.load(DEMO)))


@cache
def large() -> Network:
    return Network(Graph(variant_of(make_variant(1, WIRES))))


@cache
def complaint_of(place: int) -> Complaint:
    generic = Bench(large()).generic
    return next(iter(generic.complaints(generic.loads()[place])))


def test_a_bench(benchmark: Any) -> None:
    benchmark.group = GROUP
    benchmark.pedantic(lambda: Bench(large()), rounds=5, warmup_rounds=1)


def test_settling_the_whole_network_once(benchmark: Any) -> None:
    benchmark.group = GROUP
    state = State(dict(complaint_of(100).settings))
    benchmark.pedantic(lambda: settle(large(), state), rounds=5, warmup_rounds=1)


@pytest.mark.parametrize("place", [100, 200, 300])
def test_from_a_complaint_to_the_next_test(benchmark: Any, place: int) -> None:
    benchmark.group = GROUP
    complaint = complaint_of(place)

    def fresh() -> tuple[tuple[Bench], dict[str, Any]]:
        return (Bench(large()),), {}

    def choose(bench: Bench) -> None:
        assert Search.begin(bench, complaint).next is not None

    benchmark.pedantic(choose, setup=fresh, rounds=3, warmup_rounds=1)


@pytest.mark.parametrize("place", [100])
def test_the_test_after_an_answer(benchmark: Any, place: int) -> None:
    benchmark.group = GROUP
    search = Search.begin(Bench(large()), complaint_of(place))
    first = search.next
    assert first is not None
    benchmark.pedantic(lambda: search.answer(first.test.id, 0).next, rounds=5, warmup_rounds=1)


def test_one_chart_of_the_demo(benchmark: Any) -> None:
    benchmark.group = "charts of the demo"
    complaint = Bench(demo()).complaint("Rear screen stays cold, tell-tale lit")
    benchmark.pedantic(lambda: tree(Bench(demo()), complaint), rounds=3, warmup_rounds=1)


def test_all_source_complaints_of_the_demo(benchmark: Any) -> None:
    benchmark.group = "charts of the demo"

    def charts() -> None:
        bench = Bench(demo())
        for complaint in bench.source_complaints:
            tree(bench, complaint)

    benchmark.pedantic(charts, rounds=1)


def test_every_chart_of_the_demo(benchmark: Any) -> None:
    """Source complaints, trouble codes, and the four complaints of every load: some four hundred charts."""
    benchmark.group = "charts of the demo"

    def charts() -> None:
        bench = Bench(demo())
        for complaint in bench.complaints():
            tree(bench, complaint)
            bench.forget()

    benchmark.pedantic(charts, rounds=1)
