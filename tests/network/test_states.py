"""States: positions, relays that follow their coils, and relays that do not come to rest."""

from __future__ import annotations

import pytest

from compiler.network.settle import Chatter, Latch, Race, settle
from compiler.network.state import State, StateError, state_of
from tests.network.circuits import Bench, network_of

SOURCE = """
battery BT1 "Battery" 12 V 10 mohm
splice SP1
splice SP2
"""


def bench(body: str, *settings: str, **how: bool) -> Bench:
    return Bench(SOURCE + body, settings, thorough=how.get("thorough", True))


SIMPLE = """
relay K1 { coil 86 85 90 ohm; contact 30 87 when energised; contact 30 87a when at-rest }
switch S1 { positions off on; contact 1 2 when on }
lamp E1 1 2 5 W
lamp E2 1 2 5 W
circuit 1 1 mm2 RD {
  A  BT1.+ -- SP1  1 m
  B  SP1 -- S1.1  1 m
  C  SP1 -- K1.30  1 m
  D  S1.2 -- K1.86  1 m
  E  K1.87 -- E1.1  1 m
  F  K1.87a -- E2.1  1 m
}
circuit 2 1 mm2 BK {
  A  K1.85 -- SP2  1 m
  B  E1.2 -- SP2  1 m
  C  E2.2 -- SP2  1 m
  D  SP2 -- BT1.-  1 m
}
"""


def test_a_relay_follows_its_coil() -> None:
    off, on = bench(SIMPLE), bench(SIMPLE, "S1=on")
    assert off.settled.energised == frozenset()
    assert on.settled.energised == {"K1"}
    assert off.across("E2") > 11.5
    assert on.across("E1") > 11.5
    assert off.volts("E1.1") == pytest.approx(0.0, abs=0.05)
    assert off.settled.unrest == on.settled.unrest == ()


def test_a_relay_that_is_set_is_held() -> None:
    held = bench(SIMPLE, "K1=energised")
    assert held.across("E1") > 11.5
    released = bench(SIMPLE, "S1=on", "K1=at-rest")
    assert released.across("E2") > 11.5
    assert released.across("K1.86-85") > 11.5


def test_a_coil_pulls_in_at_its_voltage_and_not_below() -> None:
    # 90 ohm coil of 12 V, pull-in at 65 %: 7.8 V. With R in series the coil gets 12 V x 90 / (90 + R).
    text = SIMPLE.replace("circuit 1", "resistor R1 1 2 {ohm} ohm\ncircuit 1").replace(
        "D  S1.2 -- K1.86  1 m", "D  S1.2 -- R1.1  1 m\n  G  R1.2 -- K1.86  1 m"
    )
    assert bench(text.replace("{ohm}", "47"), "S1=on").settled.energised == {"K1"}  # 7.88 V
    assert bench(text.replace("{ohm}", "50"), "S1=on").settled.energised == frozenset()  # 7.71 V


def test_a_chain_of_relays_settles_step_by_step() -> None:
    text = """
relay K1 { coil 86 85 90 ohm; contact 30 87 when energised }
relay K2 { coil 86 85 90 ohm; contact 30 87 when energised }
relay K3 { coil 86 85 90 ohm; contact 30 87 when energised }
circuit 1 1 mm2 RD {
  A  BT1.+ -- SP1  1 m
  B  SP1 -- K1.86  1 m
  C  SP1 -- K1.30  1 m
  D  K1.87 -- K2.86  1 m
  E  SP1 -- K2.30  1 m
  F  K2.87 -- K3.86  1 m
}
circuit 2 1 mm2 BK {
  A  K1.85 -- SP2  1 m
  B  K2.85 -- SP2  1 m
  C  K3.85 -- SP2  1 m
  D  SP2 -- BT1.-  1 m
}
"""
    done = bench(text).settled
    assert done.energised == {"K1", "K2", "K3"}
    assert done.unrest == ()


BUZZER = """
relay K1 { coil 86 85 90 ohm; contact 30 87a when at-rest }
switch S1 { positions off on; contact 1 2 when on }
circuit 1 1 mm2 RD {
  A  BT1.+ -- S1.1  1 m
  B  S1.2 -- K1.30  1 m
  C  K1.87a -- K1.86  1 m
}
circuit 2 1 mm2 BK { A  K1.85 -- BT1.-  1 m }
"""


def test_a_relay_that_breaks_its_own_coil_chatters() -> None:
    done = bench(BUZZER, "S1=on").settled
    assert done.unrest == (Chatter(("K1",)),)
    assert done.energised == frozenset()
    assert bench(BUZZER, "S1=off").settled.unrest == ()


SEAL_IN = """
relay K1 { coil 86 85 90 ohm; contact 30 87 when energised }
switch S1 operated-by push { positions at-rest pressed; contact 1 2 when pressed }
switch S2 { positions run stop; contact 1 2 when run }
circuit 1 1 mm2 RD {
  A  BT1.+ -- S2.1  1 m
  B  S2.2 -- SP1  1 m
  C  SP1 -- S1.1  1 m
  D  SP1 -- K1.30  1 m
  E  S1.2 -- K1.86  1 m
  F  K1.87 -- K1.86  1 m
}
circuit 2 1 mm2 BK { A  K1.85 -- BT1.-  1 m }
"""


def test_a_relay_that_holds_itself_latches() -> None:
    released = bench(SEAL_IN)
    assert released.settled.unrest == (Latch(("K1",)),)
    assert released.settled.energised == frozenset()
    pressed = bench(SEAL_IN, "S1=pressed")
    assert pressed.settled.energised == {"K1"}
    assert pressed.settled.unrest == ()
    assert bench(SEAL_IN, "S2=stop").settled.unrest == ()


def test_a_coil_that_gets_enough_to_hold_but_not_to_pull_in_latches() -> None:
    text = (
        SEAL_IN.replace("F  K1.87 -- K1.86  1 m\n", "")
        .replace("circuit 1", "resistor R1 1 2 150 ohm\ncircuit 1")
        .replace("E  S1.2 -- K1.86  1 m", "E  S1.2 -- R1.1  1 m\n  F  R1.2 -- K1.86  1 m")
    )
    done = bench(text, "S1=pressed").settled  # 4.5 V: below 7.8 V, above 1.8 V
    assert done.energised == frozenset()
    assert done.unrest == (Latch(("K1",)),)


INTERLOCK = """
relay K1 { coil 86 85 90 ohm; contact 30 87a when at-rest }
relay K2 { coil 86 85 90 ohm; contact 30 87a when at-rest }
switch S1 { positions off on; contact 1 2 when on }
circuit 1 1 mm2 RD {
  A  BT1.+ -- S1.1  1 m
  B  S1.2 -- SP1  1 m
  C  SP1 -- K1.30  1 m
  D  SP1 -- K2.30  1 m
  E  K1.87a -- K2.86  1 m
  F  K2.87a -- K1.86  1 m
}
circuit 2 1 mm2 BK {
  A  K1.85 -- SP2  1 m
  B  K2.85 -- SP2  1 m
  C  SP2 -- BT1.-  1 m
}
"""


def test_two_relays_that_lock_each_other_out_race() -> None:
    done = bench(INTERLOCK, "S1=on").settled
    assert done.unrest == (Race(("K1", "K2"), frozenset({"K1"}), frozenset({"K2"})),)
    assert done.energised == {"K1"}
    assert bench(INTERLOCK).settled.unrest == ()


def test_relays_that_move_at_once_without_a_say_in_each_other_do_not_race() -> None:
    text = INTERLOCK.replace("K1.87a -- K2.86", "SP1 -- K2.86").replace("K2.87a -- K1.86", "SP1 -- K1.86")
    done = bench(text, "S1=on").settled
    assert done.energised == {"K1", "K2"}
    assert done.unrest == ()


def test_a_starter_turns_only_while_its_solenoid_is_held() -> None:
    text = """
starter M1 30 50 31 1.4 kW
switch S1 { positions off start; contact 1 2 when start }
circuit 1 50 mm2 RD { A  BT1.+ -- SP1  1 m
  B  SP1 -- M1.30  1 m }
circuit 2 2.5 mm2 RD { A  SP1 -- S1.1  1 m
  B  S1.2 -- M1.50  1 m }
circuit 3 50 mm2 BK { A  M1.31 -- BT1.-  1 m }
"""
    assert bench(text).drawn == pytest.approx(0.0, abs=1e-6)
    assert 80 < bench(text, "S1=start").drawn < 140


def test_an_alternator_feeds_only_while_it_runs() -> None:
    text = """
alternator G1 B+ D+ case engine 14.2 V 90 A
structure engine
ground G1X on engine
lamp E1 1 2 2 W
circuit 1 16 mm2 RD { A  BT1.+ -- SP1  1 m
  B  SP1 -- G1.B+  1 m
  C  SP1 -- E1.1  1 m }
circuit 2 1 mm2 BU { A  E1.2 -- G1.D+  1 m }
circuit 3 16 mm2 BK { A  BT1.- -- G1X  1 m }
"""
    standing, running = bench(text), bench(text, "G1=running")
    assert standing.across("E1") > 11
    assert running.across("E1") < 0.5
    assert running.amperes("battery BT1".split()[1]) > 20  # the battery is charged


MODULE = """
module A1 {
  connector C1 8 cavities { spare rest }
  pin C1.1 supply 0.1 A
  pin C1.2 ground
  pin C1.3 low-side "Relay"
  pin C1.4 high-side "Lamp"
  pin C1.5 sensor-supply 5 V
  pin C1.6 pull-up-input "Door" 1 kohm
}
switch S1 { positions off on; contact 1 2 when on }
switch S2 { positions open closed; contact 1 2 when closed }
lamp E1 1 2 5 W
lamp E2 1 2 5 W
circuit 1 1 mm2 RD {
  A  BT1.+ -- S1.1  1 m
  B  S1.2 -- SP1  1 m
  C  SP1 -- C1.1  1 m
  D  SP1 -- E1.1  1 m
}
circuit 2 1 mm2 GN {
  A  E1.2 -- C1.3  1 m
  B  C1.4 -- E2.1  1 m
  C  C1.6 -- S2.1  1 m
}
circuit 3 1 mm2 BK {
  A  C1.2 -- SP2  1 m
  B  E2.2 -- SP2  1 m
  C  S2.2 -- SP2  1 m
  D  SP2 -- BT1.-  1 m
}
"""


def test_module_outputs_switch_and_inputs_are_pulled_up() -> None:
    asleep = bench(MODULE)
    assert asleep.volts("C1.6") is None
    awake = bench(MODULE, "S1=on")
    assert awake.settled.energised == {"A1"}
    assert awake.volts("C1.6") == pytest.approx(5.0, abs=0.01)
    assert awake.volts("C1.5") == pytest.approx(5.0, abs=0.01)
    assert awake.meter.amperes(awake.network.branches_in("E1")[0]) == pytest.approx(0.0, abs=1e-9)
    driven = bench(MODULE, "S1=on", "S2=closed", "A1.C1.3=on", "A1.C1.4=on")
    assert driven.across("E1") > 11.5
    assert driven.across("E2") > 11.5
    assert (driven.volts("C1.6") or 0) < 0.1


def test_a_place_that_nothing_ties_to_the_battery_floats() -> None:
    done = bench(SIMPLE)
    assert done.volts("S1.2") == pytest.approx(0.0, abs=0.05)  # through the coil
    cut = Bench(SOURCE + SIMPLE.replace("  A  K1.85 -- SP2  1 m\n", ""))
    assert cut.volts("S1.2") is None
    assert cut.volts("BT1.+") == pytest.approx(12.0, abs=0.02)


def test_settings_that_do_not_exist_are_refused() -> None:
    network = network_of(SOURCE + SIMPLE)
    with pytest.raises(StateError, match="S2 is nothing that can be set; did you mean S1"):
        state_of(network, [("S2", "on")])
    with pytest.raises(StateError, match="S1 has no position auf; it has off, on"):
        state_of(network, [("S1", "auf")])
    assert state_of(network, [("S1", "off"), ("S1", "on")]) == State({"S1": "on"})


FUSED = """
switch S9 { positions off on; contact 1 2 when on }
lamp E9 1 2 5 W
fuse F9 5 A
circuit 8 1 mm2 RD { A  SP1 -- F9.1  1 m }
circuit 9 1 mm2 GY {
  A  F9.2 -- S9.1  1 m
  B  S9.2 -- E9.1  1 m
  C  E9.2 -- SP2  1 m
}
"""


def test_what_has_a_say_in_a_place_is_found_from_the_graph() -> None:
    network = network_of(SOURCE + SIMPLE + FUSED)
    touching = network.routes.touching
    index = {str(point): node for point, node in network.graph.index.items()}
    assert touching([index["E1.1"]]) == ("K1", "S1")
    assert touching([index["S1.2"]]) == ("S1",)
    assert touching([index["E9.1"]]) == ("S9",)
    assert network.routes.touching_circuit("9") == ("S9",)
    assert network.routes.touching_circuit("none") == ()


def test_only_relays_that_hang_on_themselves_are_tangled() -> None:
    assert network_of(SOURCE + SIMPLE).routes.tangled == frozenset()
    assert network_of(SOURCE + SEAL_IN).routes.tangled == {"K1"}
    assert network_of(SOURCE + INTERLOCK).routes.tangled == {"K1", "K2"}


def test_a_network_without_a_source_reads_nothing() -> None:
    network = network_of("lamp E1 1 2 5 W\nlamp E2 1 2 5 W\ncircuit 1 1 mm2 RD { A  E1.1 -- E2.1  1 m }\n")
    done = settle(network)
    assert all(value != value for value in done.solution.volts)  # nan
    assert not done.solution.currents.any()
