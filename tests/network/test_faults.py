"""Planted faults: what a meter reads on a circuit that is broken in a known way, and the table of all single faults."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from compiler.model.items import Point
from compiler.network.fault_table import fault_table
from compiler.network.faults import Fault, FaultError, FaultSort
from compiler.network.network import Network
from compiler.network.ohms import ohms
from compiler.network.settle import settle
from compiler.network.state import State
from tests.chaos.variants import make_variant
from tests.network.circuits import Bench, network_of

CIRCUIT = """
battery BT1 12 V 0 ohm
harness body
harness tail
ground G1 on chassis
ground G2 on chassis
fuse F1 20 A
switch S1 { positions off on; contact 1 2 when on }
connector C1 2 cavities body -- tail { spare 2 }
heater R1 1 2 72 W
circuit 1 2.5 mm2 RD in body {
  A  BT1.+ -- F1.1  1 m
  B  F1.2 -- S1.1  1 m
  C  S1.2 -- C1.1  1 m
  D  C1.1 -- R1.1  1 m  in tail
}
circuit 2 2.5 mm2 BK in tail {
  A  R1.2 -- G2  1 m
  B  BT1.- -- G1  1 m  in body
}
"""


def with_fault(sort: FaultSort, place: str, ohm: float = 0.0, **how: bool) -> Bench:
    return Bench(CIRCUIT, ["S1=on"], [Fault(sort, place, ohm)], **how)


def test_sound_it_works() -> None:
    bench = Bench(CIRCUIT, ["S1=on"])
    assert bench.amperes("F1") == pytest.approx(5.85, abs=0.05)
    assert all(value is not None and value > 11.7 for value in bench.halves("C1.1"))


@pytest.mark.parametrize(
    ("place", "live", "dead"),
    [
        ("1A", ["BT1.+"], ["F1.1", "F1.2", "S1.2", "C1.1", "R1.1", "R1.2"]),
        ("F1", ["F1.1"], ["F1.2", "S1.1", "R1.1"]),
        ("S1.1-2", ["S1.1"], ["S1.2", "C1.1"]),
        ("1C", ["S1.2"], ["C1.1", "R1.1"]),
        ("1D", ["C1.1"], ["R1.1", "R1.2"]),
        ("2A", ["R1.1", "R1.2"], []),
        ("G2", ["R1.2", "G2"], []),
        ("R1", ["R1.1"], ["R1.2"]),
    ],
)
def test_an_open_leaves_what_is_before_it_live(place: str, live: list[str], dead: list[str]) -> None:
    bench = with_fault(FaultSort.OPEN, place)
    assert [bench.volts(name) for name in live] == [pytest.approx(12.0, abs=1e-6)] * len(live)
    assert [bench.volts(name) for name in dead] == [pytest.approx(0.0, abs=1e-6)] * len(dead)
    assert bench.drawn == pytest.approx(0.0, abs=1e-9)


def test_an_open_cavity_shows_between_its_halves() -> None:
    bench = with_fault(FaultSort.OPEN, "C1.1")
    assert bench.halves("C1.1") == [pytest.approx(12.0, abs=1e-6), pytest.approx(0.0, abs=1e-6)]


def test_a_bad_joint_takes_its_share() -> None:
    # 2 ohm of load and 1 ohm of joint: a third of the voltage, less what the wires take.
    bench = with_fault(FaultSort.RESISTANCE, "C1.1", 1.0)
    near, far = bench.halves("C1.1")
    assert near is not None
    assert far is not None
    assert near - far == pytest.approx(12 / 3, abs=0.15)
    assert bench.across("R1") == pytest.approx(8, abs=0.25)


def test_a_bad_ground_lifts_the_low_side() -> None:
    bench = with_fault(FaultSort.RESISTANCE, "G2", 1.0)
    assert bench.volts("R1.2") == pytest.approx(4, abs=0.15)


def test_a_short_to_ground_blows_the_fuse() -> None:
    bench = with_fault(FaultSort.TO_GROUND, "1C")
    assert [bench.network.place(branch) for branch in bench.settled.blown] == ["fuse F1"]
    assert bench.volts("F1.1") == pytest.approx(12.0, abs=1e-6)
    assert bench.volts("F1.2") == pytest.approx(0.0, abs=1e-6)


def test_a_short_that_the_fuse_is_told_to_hold() -> None:
    network = network_of(CIRCUIT)
    fault = Fault(FaultSort.TO_GROUND, "1C")
    settled = settle(network, State({"S1": "on"}), [fault], fuses_hold=True)
    fuse = network.branches_in("F1")[0]
    assert settled.blown == ()
    assert settled.solution.currents[fuse] > 200


def test_a_short_before_the_switch_blows_the_fuse_with_the_switch_off() -> None:
    bench = Bench(CIRCUIT, (), [Fault(FaultSort.TO_GROUND, "1B")])
    assert bench.settled.blown
    behind = Bench(CIRCUIT, (), [Fault(FaultSort.TO_GROUND, "1C")])
    assert not behind.settled.blown


def test_a_shorted_load_blows_the_fuse() -> None:
    assert with_fault(FaultSort.SHORT, "R1").settled.blown


@pytest.mark.parametrize(("sort", "setting", "works"), [("stuck-closed", "off", True), ("stuck-open", "on", False)])
def test_a_contact_that_sticks(sort: str, setting: str, works: bool) -> None:
    bench = Bench(CIRCUIT, [f"S1={setting}"], [Fault(FaultSort(sort), "S1")])
    assert (bench.drawn > 5) is works


@pytest.mark.parametrize(
    ("fault", "message"),
    [
        (Fault(FaultSort.OPEN, "9Z"), "there is no 9Z"),
        (Fault(FaultSort.OPEN, "C1.7"), "C1 has no cavity 7"),
        (Fault(FaultSort.OPEN, "R1.1"), "name the wire that ends there"),
        (Fault(FaultSort.STUCK_OPEN, "R1"), "R1 has no contact to stick"),
        (Fault(FaultSort.RESISTANCE, "1A", -1), "is no resistance"),
    ],
)
def test_faults_that_cannot_be_are_refused(fault: Fault, message: str) -> None:
    with pytest.raises(FaultError, match=message):
        Bench(CIRCUIT, (), [fault])


# -- ohms
# ----------------------------------------------------------------------------------------------------------------
def test_ohms_with_the_power_off() -> None:
    network = network_of(CIRCUIT)
    load = ohms(network, Point("R1", "1"), Point("R1", "2"))
    assert load == pytest.approx(2.0, abs=1e-6)  # 72 W at 12 V
    assert ohms(network, Point("R1", "1"), Point("S1", "1")) == float("inf")
    closed = State({"S1": "on"}).positions(network)
    assert ohms(network, Point("F1", "2"), Point("C1", "1", 1), closed) == pytest.approx(0.02, abs=0.01)
    cut = [Fault(FaultSort.OPEN, "1C")]
    assert ohms(network, Point("F1", "2"), Point("C1", "1", 1), closed, cut) == float("inf")
    assert ohms(network, Point("R1", "2"), Point("G1", "")) == pytest.approx(0.01, abs=0.005)


def test_a_cold_filament_has_less_than_a_hot_one() -> None:
    text = (
        "battery BT1 12 V\nlamp E1 1 2 5 W\nlamp E2 1 2 28.8 ohm 3 ohm\ncircuit 1 1 mm2 RD { A  E1.1 -- BT1.+  1 m }\n"
    )
    network = network_of(text)
    assert ohms(network, Point("E1", "1"), Point("E1", "2")) == pytest.approx(144 / 5 / 10, rel=1e-6)
    assert ohms(network, Point("E2", "1"), Point("E2", "2")) == pytest.approx(3, rel=1e-6)


# -- the table of single faults
# ----------------------------------------------------------------------------------------------
def every_fault(network: Network, random: Random) -> list[Fault]:
    """Opens, bad joints and shorts in wires, opens in cavities, fuses, loads and grounds, contacts that stick."""
    variant = network.variant
    faults = [
        Fault(sort, wire.id, 10 ** random.uniform(-2, 3))
        for wire in variant.wires
        for sort in (FaultSort.OPEN, FaultSort.RESISTANCE, FaultSort.TO_GROUND)
    ]
    faults += [
        Fault(FaultSort.OPEN, f"{connector.id}.{cavity}")
        for connector in variant.connectors.values()
        for cavity in connector.cavities
        if network.cavity_branch(connector.id, cavity) is not None
    ]
    simple = [d.id for d in variant.devices.values() if len(network.branches_in(d.id)) == 1]
    faults += [Fault(FaultSort.OPEN, device) for device in (*simple, *variant.grounds)]
    switches = [d.id for d in variant.devices.values() if d.kind == "switch"]
    return faults + [
        Fault(sort, switch) for switch in switches for sort in (FaultSort.STUCK_OPEN, FaultSort.STUCK_CLOSED)
    ]


@pytest.mark.parametrize("seed", range(4))
def test_the_table_says_what_settling_anew_says(seed: int) -> None:
    random = Random(f"table {seed}")
    network = network_of(make_variant(seed, 60))
    state = State({s: random.choice(p) for s, p in network.positions.items() if s not in network.moved})
    settled = settle(network, state)
    faults = every_fault(network, random)
    nodes = range(len(network.graph.points))
    table = fault_table(settled, faults, nodes)
    of = np.asarray(network.of)[list(nodes)]
    for row, fault in enumerate(faults):
        anew = settle(network, state, [fault])
        wanted = anew.solution.volts[of]
        assert (np.isnan(wanted) == np.isnan(table.volts[row])).all(), fault
        assert np.nanmax(np.abs(wanted - table.volts[row]), initial=0.0) < 1e-6, fault
        assert table.energised[row] == anew.energised, fault
    assert len(faults) > 200
    assert table.settled < len(faults) / 4


def test_the_table_of_no_faults_is_empty() -> None:
    network = network_of(CIRCUIT)
    table = fault_table(settle(network), [], [0, 1])
    assert table.volts.shape == (0, 2)


def test_a_bad_fuse_among_shorts_behind_it_is_not_taken_for_an_open_one() -> None:
    network = network_of(CIRCUIT)
    settled = settle(network, State({"S1": "on"}))
    bad = Fault(FaultSort.RESISTANCE, "F1", 2.0)
    faults = [bad, *(Fault(FaultSort.TO_GROUND, wire) for wire in ("1B", "1C", "1D"))]
    node = network.graph.index[Point("F1", "2")]
    table = fault_table(settled, faults, [node])
    assert table.volts[0, 0] == pytest.approx(6, abs=0.2)
    assert table.volts[1:, 0] == pytest.approx(0.0, abs=0.01)


def test_faults_on_top_of_a_fault() -> None:
    network = network_of(CIRCUIT)
    first = Fault(FaultSort.RESISTANCE, "2A", 1.0)
    faults = [Fault(FaultSort.OPEN, "1D"), Fault(FaultSort.RESISTANCE, "C1.1", 3.0), Fault(FaultSort.STUCK_OPEN, "S1")]
    table = fault_table(settle(network, State({"S1": "on"}), [first]), faults, range(network.size))
    for row, fault in enumerate(faults):
        wanted = settle(network, State({"S1": "on"}), [first, fault]).solution.volts[np.asarray(network.of)]
        assert np.allclose(wanted, table.volts[row], equal_nan=True), fault


def test_a_bad_joint_inside_a_coil_keeps_its_relay_from_pulling_in() -> None:
    text = """
battery BT1 12 V 0 ohm
relay K1 { coil 86 85 90 ohm; contact 30 87 when energised }
lamp E1 1 2 5 W
circuit 1 2.5 mm2 RD { A  BT1.+ -- K1.86  1 m; B  BT1.+ -- K1.30  1 m; C  K1.87 -- E1.1  1 m }
circuit 2 2.5 mm2 BK { A  BT1.- -- K1.85  1 m; B  BT1.- -- E1.2  1 m }
"""
    assert Bench(text).settled.energised == {"K1"}
    network = network_of(text)
    for sort in (FaultSort.RESISTANCE, FaultSort.OPEN):
        fault = Fault(sort, "coil K1", 90.0, network.coils[0].branch)
        assert Bench(text, (), [fault]).settled.energised == frozenset()
        assert fault_table(settle(network), [fault], [0]).energised == (frozenset(),)


def test_one_half_of_a_cavity_is_a_place() -> None:
    bench = with_fault(FaultSort.OPEN, "C1.1")
    assert bench.volts("C1.1 body side") == pytest.approx(12.0, abs=1e-6)
    assert bench.volts("C1.1 tail side") == pytest.approx(0.0, abs=1e-6)
    with pytest.raises(FaultError, match="C1 has no cavity 1 roof side"):
        with_fault(FaultSort.OPEN, "C1.1 roof side")
