"""How loads and margins are printed: marks, and what the table says of them."""

from __future__ import annotations

from compiler.network.flows import Flows
from compiler.network.summary import FuseLoad, fuse_loads
from renderers.cells import load_cell, load_notes, margin_cell
from tests.network.circuits import network_of

FEEDER = """
battery BT1 12 V
fuse FM1 10 A maxi
fuse F1 10 A blade
fuse F2 10 A blade
heater R1 1 2 72 W
heater R2 1 2 72 W
ground G1
circuit 1 6 mm2 RD { A BT1.+ -- FM1.1 1 m }
circuit 2 2.5 mm2 RD/BU {
  A  FM1.2 -- F1.1  1 m
  B  F1.1 -- F2.1  1 m
  C  F1.2 -- R1.1  1 m
  D  F2.2 -- R2.1  1 m
}
circuit 3 4 mm2 BK {
  A  R1.2 -- G1  1 m
  B  R2.2 -- G1  1 m
  C  BT1.- -- G1  1 m
}
"""
CHARGING = """
battery BT1 12 V
fusible-link FL2 6 AWG
alternator G1 B+ D+ case engine 14.2 V{rated}
structure engine
ground G2 on engine
circuit 1 16 mm2 RD {
  A  BT1.+ -- FL2.1  1 m
  B  FL2.2 -- G1.B+  1 m
}
circuit 4 16 mm2 BK { A BT1.- -- G2 1 m }
"""


def loads_of(text: str) -> dict[str, FuseLoad]:
    return {load.device.id: load for load in fuse_loads(Flows(network_of(text)))}


def test_a_load_above_the_rating_is_marked_and_told() -> None:
    loads = loads_of(FEEDER)
    assert [margin_cell(loads[name]).text for name in ("FM1", "F1", "F2")] == ["−2 ‡", "4", "4"]
    (note,) = load_notes(loads.values())
    assert note.startswith("‡ All that hangs behind this fuse can together draw more than its rating.")
    assert load_notes([loads["F1"]]) == ()


def test_a_rated_output_names_its_alternator() -> None:
    load = loads_of(CHARGING.replace("{rated}", " 110 A"))["FL2"]
    assert load_cell(load.load).text == "110 (G1)"
    assert load_notes([load]) == (
        "An alternator in brackets: the figure is its rated output, which passes here on its way to the battery.",
    )


def test_an_output_that_is_not_given_is_said() -> None:
    load = loads_of(CHARGING.replace("{rated}", ""))["FL2"]
    assert load_cell(load.load).mark == "absent"
    assert load_notes([load]) == ("FL2 carries the charging current of G1, whose rated output is not given.",)
