"""The network solved, beside ngspice's `.op` on the same netlist, at 500, 5,000 and 50,000 wires; and the table of
single faults by low-rank updates beside settling anew for each. Run with `bash tests/run tests/benchmarks`; ratios
within one run are what counts."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import pytest

from compiler.circuit.graph import Graph
from compiler.network.fault_table import fault_table
from compiler.network.faults import Fault, FaultSort
from compiler.network.network import Network
from compiler.network.settle import Settled, settle
from compiler.network.solve import pose, solve
from compiler.network.state import State
from tests.chaos.variants import make_variant
from tests.network.circuits import variant_of
from tests.network.spice import netlist, run

pytestmark = pytest.mark.usefixtures("without_collector")
SIZES = (500, 5_000, 50_000)


@cache
def network_of(wires: int) -> Network:
    return Network(Graph(variant_of(make_variant(1, wires))))


@cache
def state_of(wires: int) -> State:
    """Every switch somewhere, most of them on."""
    network, random = network_of(wires), Random(1)
    moved = frozenset(network.moved)
    return State({s: random.choice(p[1:]) for s, p in network.positions.items() if s not in moved})


@cache
def settled_of(wires: int) -> Settled:
    return settle(network_of(wires), state_of(wires), fuses_hold=True)


def measure(benchmark: Any, group: str, wires: int, function: Callable[..., Any], *arguments: Any) -> Any:
    benchmark.group = f"{group}, {wires} wires"
    rounds = {500: 20, 5_000: 5, 50_000: 2}[wires]
    return benchmark.pedantic(function, args=arguments, rounds=rounds, warmup_rounds=1)


# -- one operating point ---------------------------------------------------------------------------------------------
@pytest.mark.parametrize("wires", SIZES)
def test_network_of_a_model(benchmark: Any, wires: int) -> None:
    graph = Graph(network_of(wires).variant)

    def build() -> None:
        _ = Network(graph).columns

    measure(benchmark, "operating point", wires, build)


@pytest.mark.parametrize("wires", SIZES)
def test_solve(benchmark: Any, wires: int) -> None:
    network, positions = network_of(wires), settled_of(wires).positions

    def once() -> Any:
        return solve(pose(network, network.columns.present(positions)))

    measure(benchmark, "operating point", wires, once)


@pytest.mark.parametrize("wires", SIZES)
def test_settle_relays_and_solve(benchmark: Any, wires: int) -> None:
    assert measure(benchmark, "operating point", wires, settle, network_of(wires), state_of(wires)).steps


@pytest.mark.parametrize("wires", SIZES)
def test_ngspice_on_the_same_netlist(benchmark: Any, wires: int, tmp_path: Path) -> None:
    text = netlist([settled_of(wires).solution])
    assert measure(benchmark, "operating point", wires, run, text, tmp_path)


def test_ngspice_doing_nothing(benchmark: Any, tmp_path: Path) -> None:
    deck = tmp_path / "nothing.cir"
    deck.write_text("nothing\nV1 1 0 1\nR1 1 0 1\n.op\n.end\n")
    benchmark.group = "a process that does nothing"
    command = ["ngspice", "-b", "-n", "-r", str(tmp_path / "raw"), str(deck)]
    benchmark.pedantic(lambda: subprocess.run(command, capture_output=True, check=True), rounds=5, warmup_rounds=1)


# -- the table of single faults ----------------------------------------------------------------------------------------
SAMPLE = {500: 400, 5_000: 400}


@cache
def faults_of(wires: int) -> tuple[Fault, ...]:
    """Opens, bad joints and shorts of a sample of the wires."""
    chosen = Random(2).sample(network_of(wires).variant.wires, SAMPLE[wires] // 4)
    sorts = (FaultSort.OPEN, FaultSort.RESISTANCE, FaultSort.RESISTANCE, FaultSort.TO_GROUND)
    return tuple(Fault(sort, wire.id, ohm) for wire in chosen for sort, ohm in zip(sorts, (0, 1, 50, 0), strict=True))


def watched(wires: int) -> list[int]:
    return list(range(0, len(network_of(wires).graph.points), 20))


@pytest.mark.parametrize("wires", SAMPLE)
def test_faults_by_low_rank_updates(benchmark: Any, wires: int) -> None:
    benchmark.group = f"400 single faults, {wires} wires"
    arguments = (settled_of(wires), faults_of(wires), watched(wires))
    benchmark.pedantic(fault_table, args=arguments, rounds=3, warmup_rounds=1)


@pytest.mark.parametrize("wires", SAMPLE)
def test_faults_by_settling_anew(benchmark: Any, wires: int) -> None:
    network, state = network_of(wires), state_of(wires)
    benchmark.group = f"400 single faults, {wires} wires"

    def anew() -> None:
        for fault in faults_of(wires):
            settle(network, state, [fault])

    benchmark.pedantic(anew, rounds=1)
