"""ngspice as outside oracle: the same networks, the same voltages to a millionth, on generated variants and the
sample line.

ngspice (a circuit simulator of the Berkeley line, from the operating system's packages) gets the netlist and finds
the operating point by itself, diodes included. Relays are held where we settled them, and the voltages that ngspice
finds across their coils must hold them there.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import numpy as np
import pytest

from compiler.assembly.assemble import assemble
from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from compiler.circuit.graph import Graph
from compiler.model.items import NamedState, Scenario
from compiler.network.columns import Reals
from compiler.network.elements import ENERGISED
from compiler.network.faults import Fault, FaultSort
from compiler.network.network import Network
from compiler.network.settle import Settled, settle
from compiler.network.state import State, state_of_facts
from tests.chaos.variants import make_variant
from tests.network.circuits import network_of
from tests.network.spice import spice_volts

VARIANTS = 300
TOGETHER = 15  # networks handed to one run of the simulator
SAMPLES = Path(__file__).parents[2] / "samples" / "sandpiper"


def assert_alike(settled: Settled, volts: Reals) -> None:
    """Every tied potential within a millionth, or a nanovolt where there is nothing but the simulator's own leakage."""
    ours = settled.solution.volts
    assert (np.isnan(ours) == np.isnan(volts)).all()
    allowed = 1e-6 * np.maximum(np.abs(ours), np.abs(volts)) + 1e-8
    assert np.nanmax(np.abs(ours - volts) / allowed, initial=0.0) <= 1.0


def assert_relays_stay(settled: Settled, volts: Reals) -> None:
    """What ngspice finds across each coil holds its relay where it is."""
    network, columns = settled.network, settled.network.columns
    for device, branch, pull_in, drop_out in network.coils:
        across = abs(volts[columns.a[branch]] - volts[columns.b[branch]])
        if device in settled.state.set or np.isnan(across):
            continue
        if settled.positions[device] == ENERGISED:
            others = [coil for coil in network.coils if coil.device == device]
            assert len(others) > 1 or across >= drop_out * (1 - 1e-6)
        else:
            assert across < pull_in * (1 + 1e-6)


def generated(seed: int) -> Settled:
    """A generated variant with its switches anyhow, and in two of three an open, a short or a bad joint somewhere."""
    random = Random(f"ngspice {seed}")
    network = network_of(make_variant(seed, random.randint(10, 90)))
    moved = frozenset(network.moved)
    state = State({s: random.choice(p) for s, p in network.positions.items() if s not in moved})
    wires = network.variant.wires
    faults = [
        (
            Fault(FaultSort.OPEN, random.choice(wires).id),
            Fault(FaultSort.TO_GROUND, random.choice(wires).id),
            Fault(FaultSort.RESISTANCE, random.choice(wires).id, 10 ** random.uniform(-2, 3)),
        )[random.randrange(3)]
        for _ in range(random.randrange(3))
    ]
    return settle(network, state, faults)


@pytest.mark.parametrize("first", range(0, VARIANTS, TOGETHER))
def test_generated_variants(first: int, tmp_path: Path) -> None:
    settled = [generated(seed) for seed in range(first, first + TOGETHER)]
    found = spice_volts([one.solution for one in settled], tmp_path)
    for one, volts in zip(settled, found, strict=True):
        assert_alike(one, volts)
        assert_relays_stay(one, volts)


def test_the_generated_variants_try_what_they_should() -> None:
    settled = [generated(seed) for seed in range(40)]
    sorts = {fault.sort for one in settled for fault in one.faults}
    assert sorts == {FaultSort.OPEN, FaultSort.TO_GROUND, FaultSort.RESISTANCE}
    assert any(one.energised for one in settled)
    diodes = [one.solution.conducting[one.solution.problem.diode & one.solution.problem.there] for one in settled]
    assert {bool(value) for row in diodes for value in row} == {True, False}
    assert any(np.isnan(one.solution.volts).any() for one in settled)


@pytest.mark.parametrize("name", ["S2", "S4"])
@pytest.mark.parametrize("planted", [False, True], ids=["sound", "planted"])
def test_every_state_of_the_sample_line(name: str, planted: bool, tmp_path: Path) -> None:
    """Every state that an expectation, a complaint or the source's own name sets; the alternator stands in the sound
    ones, and runs in those with an open, a short to ground or a resistance planted."""
    path = SAMPLES / f"{name}.loom"
    variant = assemble(Library(find_project(path)), path).variant
    assert variant is not None
    network = Network(Graph(variant))
    told: list[Scenario | NamedState] = [*variant.scenarios, *variant.states.values()]
    assert len(variant.scenarios) > 30
    assert variant.states
    for start in range(0, len(told), 10):
        settled = [_demo_state(network, one, planted=planted) for one in told[start : start + 10]]
        for one, volts in zip(settled, spice_volts([s.solution for s in settled], tmp_path), strict=True):
            assert_alike(one, volts)
            if not one.unrest:
                assert_relays_stay(one, volts)


def _demo_state(network: Network, told: Scenario | NamedState, *, planted: bool) -> Settled:
    state = state_of_facts(network, told.set)
    if not planted:
        return settle(network, state)
    random = Random(f"{told.id} in {network.variant.id}")
    wire = random.choice(network.variant.wires).id
    sort = random.choice((FaultSort.OPEN, FaultSort.TO_GROUND, FaultSort.RESISTANCE))
    running = State({"G1": "running", **state.set})
    return settle(network, running, [Fault(sort, wire, 10 ** random.uniform(-2, 3))])
