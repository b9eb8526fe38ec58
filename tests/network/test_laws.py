"""Laws that every solved network obeys, on random networks."""

from __future__ import annotations

from random import Random

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from compiler.network.columns import Reals
from compiler.network.faults import Fault, FaultSort
from compiler.network.network import Network
from compiler.network.settle import settle
from compiler.network.solve import Solution, pose, solve, solve_linear
from compiler.network.state import State
from tests.chaos.variants import make_variant
from tests.network.circuits import Bench, network_of, resistors

Part = tuple[str, str]  # id and "NODE NODE DECLARATION"


@st.composite
def parts(draw: st.DrawFn, *, sources: int = 1, diodes: bool = False) -> list[Part]:
    """A random network of resistors (and diodes) with one battery or more, node 0 the first one's negative post."""
    nodes = [str(number) for number in range(draw(st.integers(3, 9)))]
    found = [("BT1", f"1 0 battery {draw(st.integers(1, 40))} V {draw(st.sampled_from(('0', '0.05', '2')))} ohm")]
    for number in range(2, draw(st.integers(1, sources)) + 1):
        a, b = draw(st.lists(st.sampled_from(nodes), min_size=2, max_size=2, unique=True))
        found.append((f"BT{number}", f"{a} {b} battery {draw(st.integers(1, 40))} V {draw(st.integers(1, 9))} ohm"))
    ohms = st.sampled_from(("0.01", "0.5", "1", "3", "12", "47", "1000", "20000"))
    for number in range(1, draw(st.integers(2, 16)) + 1):
        a, b = draw(st.lists(st.sampled_from(nodes), min_size=2, max_size=2, unique=True))
        if diodes and draw(st.booleans()):
            found.append((f"V{number}", f"{a} {b} diode"))
        else:
            found.append((f"R{number}", f"{a} {b} resistor {draw(ohms)} ohm"))
    return found


def text_of(rows: list[Part]) -> str:
    # Wires with some resistance: a microhm beside 20 kohm would leave five figures of sixteen.
    return resistors(
        "",
        size="2.5 mm2",
        length="0.1 m",
        **{name: words if words.count(" ") > 2 else f"{words} 1 2" for name, words in rows},
    )


def solved(network: Network) -> Solution:
    return settle(network).solution


def assert_laws(solution: Solution) -> None:
    """At every potential as much current arrives as leaves; across every branch the voltage is what its current
    makes it."""
    problem = solution.problem
    sums = np.zeros(problem.size)
    np.add.at(sums, problem.a, -solution.currents)
    np.add.at(sums, problem.b, solution.currents)
    largest = max(1.0, float(np.abs(solution.currents).max(initial=0.0)))
    assert np.abs(sums).max(initial=0.0) < 1e-7 * largest
    flowing = np.abs(solution.currents) > 1e-9
    across = solution.potential[problem.a] - solution.potential[problem.b]
    made = problem.volts + solution.currents * np.where(np.isfinite(problem.ohm), problem.ohm, 0)
    level = max(1.0, float(np.nan_to_num(np.abs(solution.potential)).max()))
    assert np.abs((across - made)[flowing]).max(initial=0.0) < 1e-9 * level


@given(parts(sources=3, diodes=True))
def test_kirchhoff_holds_everywhere(rows: list[Part]) -> None:
    assert_laws(solved(network_of(text_of(rows))))


@given(parts(sources=3, diodes=True))
def test_diodes_are_consistent(rows: list[Part]) -> None:
    solution = solved(network_of(text_of(rows)))
    problem = solution.problem
    across = solution.potential[problem.a] - solution.potential[problem.b]
    on = solution.conducting
    assert (solution.currents[problem.diode & on] >= -1e-6).all()
    together = solution.islands[problem.a] == solution.islands[problem.b]  # else nothing is to be compared
    blocked = across[problem.diode & ~on & together]
    assert (blocked[~np.isnan(blocked)] <= 0.7 + 1e-6).all()


@given(st.integers(0, 500), st.integers(0, 10**6))
def test_kirchhoff_holds_in_generated_vehicles(seed: int, chance: int) -> None:
    network = network_of(make_variant(seed, 40))
    random = Random(chance)
    state = State({s: random.choice(p) for s, p in network.positions.items() if s not in network.moved})
    assert_laws(settle(network, state).solution)


@given(parts(), st.data())
def test_opening_a_wire_never_raises_the_current_of_the_one_source(rows: list[Part], data: st.DataObject) -> None:
    network = network_of(text_of(rows))
    wire = data.draw(st.sampled_from(network.variant.wires))
    before = Bench(network).drawn
    after = Bench(network, faults=[Fault(FaultSort.OPEN, wire.id)]).drawn
    assert after <= before + 1e-7 * max(1.0, before)


@given(parts(), st.data(), st.sampled_from((0.001, 1.0, 300.0)))
def test_resistance_in_a_wire_never_raises_the_current_of_the_one_source(
    rows: list[Part], data: st.DataObject, ohm: float
) -> None:
    network = network_of(text_of(rows))
    wire = data.draw(st.sampled_from(network.variant.wires))
    before = Bench(network).drawn
    after = Bench(network, faults=[Fault(FaultSort.RESISTANCE, wire.id, ohm)]).drawn
    assert after <= before + 1e-7 * max(1.0, before)


@given(parts(sources=4))
def test_superposition(rows: list[Part]) -> None:
    network = network_of(text_of(rows))
    columns = network.columns
    there = columns.present(State().positions(network))
    problem = pose(network, there)
    whole = solve(problem).potential
    total: Reals = np.zeros(problem.size)
    for source in np.flatnonzero(columns.source):
        alone = np.where(np.arange(len(columns.volts)) == source, columns.volts, 0.0)
        total = total + solve_linear(problem, problem.there, volts=alone).potential
    level = max(1.0, float(np.nan_to_num(np.abs(whole)).max()))
    assert (np.isnan(whole) == np.isnan(total)).all()
    assert np.nanmax(np.abs(whole - total), initial=0.0) < 1e-9 * level


@given(parts(sources=3, diodes=True), st.randoms(use_true_random=False))
def test_the_order_of_the_source_does_not_matter(rows: list[Part], random: Random) -> None:
    # The first battery is what readings are against, so it stays first; everything after it may stand anywhere.
    first, *rest = rows
    shuffled = [first, *random.sample(rest, len(rest))]
    one, other = Bench(text_of(rows)), Bench(text_of(shuffled))
    for name in sorted(one.network.variant.splices):
        volts, again = one.volts(name), other.volts(name)
        assert (volts is None) == (again is None), name
        if volts is not None and again is not None:
            assert abs(volts - again) < 1e-6 * max(1.0, abs(volts)), name


@given(st.integers(0, 200), st.randoms(use_true_random=False))
def test_the_order_of_a_vehicles_wires_does_not_matter(seed: int, random: Random) -> None:
    network = network_of(make_variant(seed, 30))
    variant = network.variant
    shuffled = list(variant.wires)
    random.shuffle(shuffled)
    from dataclasses import replace

    from compiler.circuit.graph import Graph

    again = Network(Graph(replace(variant, wires=tuple(shuffled))))
    one, other = settle(network), settle(again)
    assert one.energised == other.energised
    for point, node in network.graph.index.items():
        volts = one.solution.volts[network.of[node]]
        assert np.isclose(
            volts, other.solution.volts[again.of[again.graph.index[point]]], rtol=1e-9, atol=1e-9, equal_nan=True
        )
