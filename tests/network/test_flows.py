"""Who draws what through which wire, worked out on paper beside each figure."""

from __future__ import annotations

import pytest

from compiler.network.drops import drops
from compiler.network.flows import Flows
from compiler.network.shorts import far_shorts
from compiler.network.summary import fuse_loads
from renderers.sheets.reading import Life, read_state
from tests.network.circuits import Bench, network_of

TEXT = """
battery BT1 12 V 10 mohm
fuse F1 20 A blade
fuse F2 15 A blade
switch S1 operated-by key { positions off acc run; contact 1 2 when acc run; contact 1 3 when run }
switch S2 { positions left right; contact 1 2 when left; contact 1 3 when right }
relay K1 { coil 86 85 120 ohm; contact 30 87 when energised }
lamp E1 1 2 60 W
lamp E2 1 2 36 W
heater R1 1 2 144 W
horn H1 1 2
splice SP1
splice SP2
splice SP3
ground G1
circuit 1 6 mm2 RD {
  A  BT1.+ -- SP1  1 m
  B  SP1 -- F1.1  1 m
  C  SP1 -- F2.1  1 m
}
circuit 2 1.5 mm2 OG {
  A  F1.2 -- S1.1  2 m
  B  S1.2 -- S2.1  2 m
  C  S2.2 -- E1.1  2 m
  D  S2.3 -- E2.1  2 m
  E  S1.3 -- K1.86  2 m
}
circuit 3 1.5 mm2 GN {
  A  F2.2 -- SP3  1 m
  B  SP3 -- K1.30  1 m
  C  K1.87 -- R1.1  3 m
  D  SP3 -- H1.1  3 m
}
circuit 4 2.5 mm2 BK {
  A  E1.2 -- SP2  1 m
  B  E2.2 -- SP2  1 m
  C  R1.2 -- SP2  1 m
  D  K1.85 -- SP2  1 m
  E  SP2 -- G1  1 m
  F  BT1.- -- G1  1 m
  G  H1.2 -- SP2  1 m
}
"""


@pytest.fixture(scope="module")
def flows() -> Flows:
    return Flows(network_of(TEXT))


def test_rated_currents_and_needs(flows: Flows) -> None:
    found = {c.name: (round(c.amperes, 6), {k: sorted(v) for k, v in c.need.items()}) for c in flows.consumers}
    assert found["E1"] == (5.0, {"S1": ["acc", "run"], "S2": ["left"]})
    assert found["E2"] == (3.0, {"S1": ["acc", "run"], "S2": ["right"]})
    assert found["K1"] == (0.1, {"S1": ["run"]})
    assert found["R1"] == (12.0, {"K1": ["energised"], "S1": ["run"]})
    assert {c.name for c in flows.consumers if c.assumed} == {"H1"}


def test_what_one_switch_excludes_is_not_added(flows: Flows) -> None:
    fuse = flows.network.branches_in("F1")[0]
    total, drawing = flows.worst(flows.by_fuse[fuse])
    assert total == pytest.approx(5.1)
    assert {c.name for c in drawing} == {"E1", "K1"}


def test_what_is_fed_and_what_returns_through_a_wire(flows: Flows) -> None:
    def through(wire: str, of: str) -> set[str]:
        branch = flows.network.branches_of(flows.network.variant.wire_by_id[wire])[0]
        return {c.name for c in getattr(flows, of).get(branch, ())}

    assert through("2B", "fed_through") == {"E1", "E2"}
    assert through("3C", "fed_through") == {"R1"}
    assert through("4E", "returning_through") == {"E1", "E2", "R1", "K1", "H1"}
    assert through("4F", "returning_through") == set()


def test_only_what_is_on_with_everything_off_is_at_rest(flows: Flows) -> None:
    assert [c.name for c in flows.consumers if flows.at_rest(c)] == ["H1"]


def test_a_drop_is_current_times_resistance(flows: Flows) -> None:
    found = {drop.consumer.name: drop for drop in drops(flows)}
    # From the feed side of the last contact, S2: wire 2C, 2 m of 1.5 mm2, 5 A.
    # 13.3 ohm/km by IEC 60228:2004 table 3 (grade A).
    assert [row.wire.id for row in found["E1"].wires] == ["2C"]
    assert found["E1"].volts == pytest.approx(5 * 2 * 0.0133)
    assert found["E1"].limit.name == "lamp"
    assert not found["E1"].declared


def test_the_far_short_is_the_sum_of_its_loop(flows: Flows) -> None:
    shorts = {short.device.id: short for short in far_shorts(flows)}
    network = flows.network
    on_paper = 0.010 + 0.0033 * 2 + 0.0133 * 5 + 0.00798 + network.world.ohm("ground")
    on_paper += network.world.value("protection", "blade") / 15 + network.world.ohm("contact")
    assert shorts["F2"].wires[-1].id == "3C"
    assert shorts["F2"].ohm == pytest.approx(on_paper)
    assert shorts["F2"].amperes == pytest.approx(12 / on_paper)


def test_paper_and_solver_agree(flows: Flows) -> None:
    # The solver lets loads take what their voltage gives them; at full voltage that is what paper says.
    bench = Bench(flows.network, ["S1=run", "K1=energised"])
    heater = next(c for c in flows.consumers if c.name == "R1")
    assert bench.amperes("R1") == pytest.approx(heater.amperes * bench.across("R1") / 12, rel=1e-9)


def test_the_load_summary_states_rating_and_margin(flows: Flows) -> None:
    rows = {row.device.id: row for row in fuse_loads(flows)}
    assert rows["F1"].load.amperes == pytest.approx(5.1)
    assert rows["F1"].margin_a == pytest.approx(14.9)
    assert rows["F2"].load.assumed  # the horn gives no rating
    assert not rows["F1"].feeds_fuses


def test_what_is_live_in_a_state() -> None:
    readings = [read_state(Bench(TEXT, [setting]).settled, setting) for setting in ("S1=off", "S1=acc")]
    off, on = ({wire for wire, life in one.wires.items() if life is Life.LIVE} for one in readings)
    assert "2A" in off
    assert "2B" not in off
    assert on - off == {"2B", "2C"}
    assert readings[1].volts["S2.2", ""] == pytest.approx(12, abs=0.5)
