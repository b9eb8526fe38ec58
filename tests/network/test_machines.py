"""Machines that are more than a resistance: an alternator at its limit, what stands across a coil, a flasher.

Each against a number worked out by hand from Kirchhoff's laws, and against ngspice.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from compiler.network.drops import drops
from compiler.network.fault_table import fault_table
from compiler.network.faults import Fault, FaultSort
from compiler.network.flows import Flows
from compiler.network.measure import measure
from compiler.network.settle import settle
from compiler.network.state import State
from tests.network.circuits import Bench, network_of
from tests.network.spice import spice_volts
from tests.network.test_ngspice import assert_alike

CHARGING = """
battery BT1 "Battery" 12.6 V {inner} mohm
alternator G1 "Alternator" B+ D+ ground 14.2 V 100 A 10 mohm
resistor R1 "Load" 1 2 {load} ohm
splice N1
circuit 1 1000 mm2 RD {{
  A  BT1.+ -- N1  1 mm
  B  G1.B+ -- N1  1 mm
  C  R1.1 -- N1  1 mm
}}
splice N0
circuit 2 1000 mm2 BK {{
  A  BT1.- -- N0  1 mm
  B  G1.ground -- N0  1 mm
  C  R1.2 -- N0  1 mm
}}
"""


def charging(load: float, inner: float = 5) -> Bench:
    return Bench(CHARGING.format(load=load, inner=inner), ["G1=running"])


def sources(bench: Bench) -> dict[str, float]:
    return dict(measure(bench.network, bench.settled).sources)


def test_below_its_limit_an_alternator_is_a_source_behind_its_resistance(tmp_path: Path) -> None:
    # (14.2 - V) / 0.010 = V / 0.5 + (V - 12.6) / 0.020, so V = (1420 + 630) / (100 + 2 + 50) = 13.4868 V.
    bench = charging(0.5, inner=20)
    assert bench.volts("N1") == pytest.approx(13.4868, abs=5e-4)
    given = sources(bench)
    assert given["alternator G1"] == pytest.approx((14.2 - 13.4868) / 0.010, rel=1e-3)
    assert given["battery BT1"] == pytest.approx(-(13.4868 - 12.6) / 0.020, rel=1e-3)
    assert_alike(bench.settled, spice_volts([bench.settled.solution], tmp_path)[0])


@pytest.mark.parametrize(("load", "volts", "battery"), [(0.08, 12.3294, 54.12), (0.05, 11.9091, 138.18)])
def test_above_its_limit_the_battery_gives_the_rest(load: float, volts: float, battery: float, tmp_path: Path) -> None:
    # V / R = 100 + (12.6 - V) / 0.005, so V = 2620 / (1 / R + 200): 2620 / 212.5 and 2620 / 220 V.
    bench = charging(load)
    assert bench.volts("N1") == pytest.approx(volts, abs=1e-3)
    given = sources(bench)
    assert given["alternator G1"] == pytest.approx(100, abs=1e-3)
    assert given["battery BT1"] == pytest.approx(battery, rel=2e-3)
    assert bench.amperes("R1") == pytest.approx(given["alternator G1"] + given["battery BT1"], abs=1e-6)
    assert_alike(bench.settled, spice_volts([bench.settled.solution], tmp_path)[0])


def test_an_alternator_without_its_cable_holds_its_own_voltage_and_gives_nothing() -> None:
    network = network_of(CHARGING.format(load=0.08, inner=5))
    settled = settle(network, State({"G1": "running"}), [Fault(FaultSort.OPEN, "1B")])
    bench = Bench(network)
    bench.settled, bench.meter = settled, type(bench.meter)(settled)
    assert bench.volts("G1.B+") == pytest.approx(14.2, abs=1e-3)
    assert "alternator G1" not in {name for name, amperes in sources(bench).items() if abs(amperes) > 1e-3}
    assert bench.meter.supply_v() == pytest.approx(14.2)


def test_a_standing_alternator_gives_nothing() -> None:
    bench = Bench(CHARGING.format(load=0.08, inner=5))
    assert set(sources(bench)) == {"battery BT1"}


# -- what stands across a coil -------------------------------------------------------------------------------------------
RELAY = """
battery BT1 "Battery" 12 V 0 ohm
fuse F1 "Coil" 5 A blade
relay K1 "Relay" {{ coil {coil}; contact 30 87 when energised }}
circuit 1 1000 mm2 RD {{
  A  BT1.+ -- F1.1  1 mm
  B  F1.2 -- K1.{plus}  1 mm
}}
circuit 2 1000 mm2 BK {{ A  K1.{minus} -- BT1.-  1 mm }}
"""


def relay(coil: str, plus: str = "86", minus: str = "85") -> Bench:
    return Bench(RELAY.format(coil=coil, plus=plus, minus=minus))


def test_a_diode_the_right_way_round_carries_nothing(tmp_path: Path) -> None:
    # 12 V over 90 ohm; the fuse's 19 mohm are a five-thousandth of it.
    bench = relay("86 85 90 ohm with-diode")
    assert bench.amperes("1B") == pytest.approx(12 / 90, rel=5e-4)
    assert bench.settled.energised == {"K1"}
    assert_alike(bench.settled, spice_volts([bench.settled.solution], tmp_path)[0])


def test_a_diode_the_wrong_way_round_is_a_short_that_opens_the_fuse(tmp_path: Path) -> None:
    # (12 - 0.7) V over 20 mohm of diode and 19.2 mohm of fuse are 288 A.
    bench = relay("86 85 90 ohm with-diode", "85", "86")
    assert [bench.network.place(branch) for branch in bench.settled.blown] == ["fuse F1"]
    assert bench.settled.energised == frozenset()
    held = settle(bench.network, fuses_hold=True)
    assert abs(held.solution.currents[bench.network.branches_of(bench.network.variant.wire_by_id["1B"])[0]]) == (
        pytest.approx(11.3 / 0.0392, rel=5e-3)
    )
    assert_alike(held, spice_volts([held.solution], tmp_path)[0])


def test_a_coil_without_a_diode_has_no_polarity() -> None:
    assert relay("86 85 90 ohm", "85", "86").settled.energised == {"K1"}


@pytest.mark.parametrize(("words", "ohm"), [("with-resistor", 680.0), ("with-resistor 470 ohm", 470.0)])
def test_a_resistor_across_a_coil_draws_its_share_either_way_round(words: str, ohm: float) -> None:
    for ends in (("86", "85"), ("85", "86")):
        bench = relay(f"86 85 90 ohm {words}", *ends)
        assert bench.amperes("1B") == pytest.approx(12 / 90 + 12 / ohm, rel=5e-4)
        assert bench.settled.energised == {"K1"}


def test_a_meter_reads_the_coil_and_not_its_diode() -> None:
    bench = relay("86 85 90 ohm with-diode")
    network = bench.network
    measured = measure(network, settle(network, State(), [Fault(FaultSort.OPEN, "F1")]), (), [("K1.86", "K1.85")])
    assert measured.ohms[0].ohm == pytest.approx(90, rel=1e-3)


# -- a flasher -----------------------------------------------------------------------------------------------------------
FLASHER = """
battery BT1 "Battery" 12 V 0 ohm
flasher K12 "Flasher unit" 49 49a {duty}
lamp E1 "Turn lamp" 1 2 21 W
circuit 1 1000 mm2 RD {{
  A  BT1.+ -- K12.49  1 mm
  B  K12.49a -- E1.1  1 mm
}}
circuit 2 1000 mm2 BK {{ A  E1.2 -- BT1.-  1 mm }}
"""


def test_a_flasher_is_read_in_either_moment() -> None:
    # 21 W at 12 V are 1.75 A while it is closed.
    shut, opened = Bench(FLASHER.format(duty="")), Bench(FLASHER.format(duty=""), ["K12=open"])
    assert shut.amperes("1B") == pytest.approx(1.75, rel=2e-3)
    assert opened.amperes("1B") == 0
    assert opened.volts("K12.49") == pytest.approx(12)


@pytest.mark.parametrize(("duty", "share"), [("", 0.5), ("40 %", 0.4)])
def test_the_part_of_the_time_that_a_flasher_is_closed_is_told(duty: str, share: float) -> None:
    bench = Bench(FLASHER.format(duty=duty))
    assert measure(bench.network, bench.settled).flashing == (("K12", "closed", share),)


# -- the charging line ---------------------------------------------------------------------------------------------------
LINE = """
battery BT1 "Battery" 12.6 V 70 Ah
alternator G1 "Alternator" B+ ground 14 V {rating}
fusible-link FL1 "Charging" 4 mm2 0.15 m
circuit 1 10 mm2 RD {{
  A  G1.B+ -- FL1.1  {length} m
  B  FL1.2 -- BT1.+  1 m
}}
circuit 2 10 mm2 BK {{ A  BT1.- -- G1.ground  1 m }}
"""


@pytest.mark.parametrize("length", [1.0, 1.2])
def test_the_charging_line_carries_the_rated_current(length: float) -> None:
    # 10 mm2 class 5 has 1.91 mohm/m (IEC 60228): 2 m at 100 A lose 0.382 V, 2.2 m lose 0.420 V. The handbook allows 0.4 V
    # between B+ and the battery at 12 V (second-hand, grade B).
    (found,) = drops(Flows(network_of(LINE.format(length=length, rating="100 A"))))
    assert found.volts == pytest.approx(100 * 1.91e-3 * (1 + length), rel=1e-6)
    assert (found.limit.name, found.limit.volts, found.consumer.name) == ("charging", 0.4, "G1")
    assert (found.volts > found.limit.volts) is (length > 1.1)
    assert [row.wire.id for row in found.wires] == ["1B", "1A"]


def test_an_alternator_without_a_rated_current_has_no_charging_drop() -> None:
    assert not list(drops(Flows(network_of(LINE.format(length=9, rating="")))))


def test_the_fault_table_knows_an_alternator_at_its_limit() -> None:
    """What turns the regulator's branch on or off is settled anew; the table agrees with settling for every fault."""
    network = network_of(CHARGING.format(load=0.1, inner=5))
    settled = settle(network, State({"G1": "running"}), fuses_hold=True)
    faults = [Fault(FaultSort.OPEN, wire.id) for wire in network.variant.wires]
    faults += [Fault(FaultSort.RESISTANCE, wire.id, ohm) for wire in network.variant.wires for ohm in (0.001, 0.1, 10)]
    nodes = range(len(network.graph.points))
    table = fault_table(settled, faults, list(nodes))
    for row, fault in enumerate(faults):
        alone = settle(network, settled.state, [fault], fuses_hold=True).solution.volts
        expected = [alone[network.of[node]] for node in nodes]
        assert table.volts[row] == pytest.approx(expected, rel=1e-6, abs=1e-6, nan_ok=True), str(fault)
