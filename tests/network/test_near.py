"""Networks reckoned from like ones, drawn together, and settled many at once: all read what a network solved by itself
does."""

from __future__ import annotations

from pathlib import Path
from random import Random

import numpy as np
import pytest

import loomwright
from compiler.circuit.graph import Graph
from compiler.network.bases import Bases
from compiler.network.bridges import bridges
from compiler.network.fault_table import fault_table
from compiler.network.faults import Fault, FaultSort
from compiler.network.islands import islands_of
from compiler.network.near import Altered, Near, TooFar
from compiler.network.network import Network
from compiler.network.settle import Settled, settle
from compiler.network.state import State
from tests.chaos.variants import make_variant
from tests.network.circuits import network_of

DEMO = Path(__file__).parents[2] / "samples" / "sandpiper" / "S4.loom"
CLOSE_V = 1e-6

LOOSE = """
battery BT1 12 V 20 mohm
battery BT2 6 V 20 mohm
switch S1 { positions off on; contact 1 2 when on }
switch S2 { positions off on; contact 1 2 when on }
lamp E1 1 2 5 W
lamp E2 1 2 5 W
circuit 1 1 mm2 RD { A  BT1.+ -- S1.1  1 m; B  S1.2 -- S2.1  1 m; C  S2.2 -- E1.1  1 m }
circuit 2 1 mm2 BK { A  BT1.- -- E1.2  1 m }
circuit 3 1 mm2 BU { A  BT2.+ -- E2.1  1 m; B  BT2.- -- E2.2  1 m }
"""


def demo() -> Network:
    return Network(Graph(loomwright.load(DEMO)))


def some_state(network: Network, random: Random) -> State:
    free = [s for s in network.positions if s not in network.moved]
    return State({s: random.choice(network.positions[s]) for s in free if random.random() < 0.3})


def faults_at(network: Network, branches: list[int]) -> list[Fault]:
    """Opens and bad joints in some branches, shorts to ground of the wires among them."""
    found = []
    for number in branches:
        place, role = network.place(number), network.branches[number].role
        found += [Fault(FaultSort.OPEN, place, 0.0, number), Fault(FaultSort.RESISTANCE, place, 3.0, number)]
        if role.name == "WIRE":
            found.append(Fault(FaultSort.TO_GROUND, place, 0.0, number))
    return found


def assert_same(one: Settled, other: Settled, what: object) -> None:
    assert one.energised == other.energised, what
    assert one.blown == other.blown, what
    for a, b in ((one.solution.volts, other.solution.volts), (one.solution.currents, other.solution.currents)):
        assert (np.isnan(a) == np.isnan(b)).all(), what
        assert np.nanmax(np.abs(a - b), initial=0.0) < CLOSE_V, what


# -- reckoned from a like network --------------------------------------------------------------------------------------
@pytest.mark.parametrize("seed", range(6))
def test_a_fault_from_what_is_known_of_the_sound_network(seed: int) -> None:
    random = Random(f"near {seed}")
    network = demo() if seed == 0 else network_of(make_variant(seed, 80))
    bases, reckoned = Bases(network), 0
    for _ in range(4):
        state = some_state(network, random)
        faults = faults_at(network, random.sample(range(len(network.branches)), 12))
        for fault in random.sample(faults, 12):
            together = [fault, random.choice(faults)] if random.random() < 0.3 else [fault]
            found = settle(network, state, together, bases=bases)
            assert_same(settle(network, state, together), found, (state, together))
            reckoned += isinstance(found.solution.factors, Altered)
    assert reckoned > 20


def test_its_factors_can_be_gone_on_with() -> None:
    network = demo()
    fault = Fault(FaultSort.RESISTANCE, "F14", 1.0)
    state = State({"S1": "run"})
    alone = settle(network, state, [fault]).solution
    near = settle(network, state, [fault], bases=Bases(network)).solution
    assert isinstance(near.factors, Altered)
    for potential in np.flatnonzero(~np.isnan(alone.volts) & (alone.column >= 0))[::37].tolist():
        found = []
        for solution in (alone, near):
            right = np.zeros(solution.factors.unknowns)
            right[solution.column[potential]] = 1.0
            known = solution.column >= 0
            volts = np.full(network.size, np.nan)
            volts[known] = solution.factors.solve(right)[solution.column[known]]
            found.append(volts)
        assert np.nanmax(np.abs(found[0] - found[1])) < 1e-6


@pytest.mark.parametrize(
    ("state", "fault"),
    [
        ({}, Fault(FaultSort.STUCK_CLOSED, "S1")),  # a wire that floats comes to life
        ({}, Fault(FaultSort.STUCK_CLOSED, "S2")),  # and is tied to ground
        ({"S1": "on"}, Fault(FaultSort.OPEN, "1A")),  # cut off again
        ({"S1": "on"}, Fault(FaultSort.OPEN, "1B")),
        ({"S1": "on", "S2": "on"}, Fault(FaultSort.OPEN, "2A")),
        ({"S1": "on"}, Fault(FaultSort.TO_GROUND, "3A")),  # a battery of its own is tied to the rest
        ({"S1": "on"}, Fault(FaultSort.OPEN, "3A")),
    ],
)
def test_parts_that_come_to_life_and_parts_that_are_cut_off(state: dict[str, str], fault: Fault) -> None:
    network = network_of(LOOSE)
    bases = Bases(network)
    assert_same(settle(network, State(state), [fault]), settle(network, State(state), [fault], bases=bases), fault)
    both = [fault, Fault(FaultSort.RESISTANCE, "1A", 2.0)]
    assert_same(settle(network, State(state), both), settle(network, State(state), both, bases=bases), both)


def test_a_source_without_resistance_is_solved_as_ever() -> None:
    network = network_of(LOOSE.replace("12 V 20 mohm", "12 V 0 ohm"))
    fault = Fault(FaultSort.OPEN, "1B")
    bases = Bases(network)
    assert bases.at(State(), frozenset()) is None
    assert_same(
        settle(network, State({"S1": "on"}), [fault]), settle(network, State({"S1": "on"}), [fault], bases=bases), ""
    )


def test_a_network_that_is_too_different_is_not_reckoned() -> None:
    network = demo()
    bases = Bases(network)
    near = bases.at(State(), frozenset())
    other = settle(network, State({"S1": "run", "S10": "head"})).solution
    assert isinstance(near, Near)
    with pytest.raises(TooFar):
        near.like(other.problem, other.conducting)
    assert np.allclose(near.solve(other.problem, other.conducting).volts, other.volts, equal_nan=True)


def test_what_is_kept_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    network = network_of(make_variant(3, 60))
    random = Random("kept")
    asked = [(some_state(network, random), fault) for fault in faults_at(network, list(range(0, 60, 7)))]
    bases = Bases(network)
    first = [settle(network, state, [fault], bases=bases).solution.volts for state, fault in asked]
    monkeypatch.setattr("compiler.network.bases._KEPT", 0)
    monkeypatch.setattr("compiler.network.bases._LEAST", 1)
    few = Bases(network)
    again = [settle(network, state, [fault], bases=few).solution.volts for state, fault in reversed(asked)]
    assert all((np.nan_to_num(a) == np.nan_to_num(b)).all() for a, b in zip(first, reversed(again), strict=True))


# -- settled many at once ----------------------------------------------------------------------------------------------
def test_faults_that_leave_coils_at_half_their_voltage() -> None:
    """Bad joints of all sizes in what feeds relays: some pull in, some only would hold, some fall off."""
    network = demo()
    state = State({"S1": "run"})
    settled = settle(network, state)
    assert len(settled.energised) > 2
    random = Random("half")
    wires = [n for n, row in enumerate(network.branches) if row.role.name in ("WIRE", "PROTECTION", "STRUCTURE")]
    amperes = np.abs(settled.solution.currents)
    feeding = [n for n in wires if 0.09 < amperes[n] < 0.5]  # what the coils draw
    faults = [
        Fault(FaultSort.RESISTANCE, network.place(n), random.uniform(0.2, 2) * 12 / float(amperes[n]), n)
        for n in feeding
    ]
    table = fault_table(settled, faults, range(network.size))
    moved = 0
    of = np.asarray(network.of)
    for row, fault in enumerate(faults):
        alone = settle(network, state, [fault])
        moved += alone.energised != settled.energised
        assert table.energised[row] == alone.energised, fault
        assert np.allclose(table.volts[row], alone.solution.volts[of], atol=CLOSE_V, equal_nan=True), fault
    assert moved > 15


# -- drawn together ----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("seed", range(5))
def test_a_network_with_its_rows_drawn_together_reads_the_same(seed: int) -> None:
    random = Random(f"rows {seed}")
    network = demo() if seed == 0 else network_of(make_variant(seed, 60))
    kept = random.sample(range(len(network.branches)), 20)
    limited = network.limited(kept)
    assert limited.size < network.size
    faults = faults_at(network, kept)
    for _ in range(3):
        state = some_state(network, random)
        whole = fault_table(settle(network, state), faults, range(network.size))
        part = fault_table(settle(limited, state), faults, range(network.size))
        used = np.isin(np.asarray(network.of), np.concatenate([network.columns.a, network.columns.b]))
        assert part.energised == whole.energised
        assert np.allclose(part.volts[:, used], whole.volts[:, used], atol=CLOSE_V, equal_nan=True)


def test_drawing_together_leaves_what_can_move() -> None:
    network = demo()
    limited = network.limited([])
    assert limited.size < network.size / 2
    columns = limited.columns
    for numbers in (network.columns.windings, network.columns.fuses, network.columns.source.nonzero()[0]):
        assert (columns.number[columns.index[numbers]] == numbers).all()
    assert (columns.number[columns.index[network.conditional]] == network.conditional).all()


# -- bridges -----------------------------------------------------------------------------------------------------------
def test_bridges_are_the_branches_without_which_a_part_is_away() -> None:
    for seed in range(60):
        random = Random(f"bridges {seed}")
        size, count = random.randint(2, 20), random.randint(1, 30)
        a, b = (np.asarray([random.randrange(size) for _ in range(count)]) for _ in range(2))
        root = random.randrange(size)
        found, whole = bridges(a, b, size, root), islands_of(a, b, size)
        for number in range(count):
            left = np.arange(count) != number
            without = islands_of(a[left], b[left], size)
            apart = without[a[number]] != without[b[number]]
            assert found[number] == (whole[a[number]] == whole[root] and apart), (seed, number)
