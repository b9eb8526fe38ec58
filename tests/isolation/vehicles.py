"""Benches for the tests of this folder: the demo variant, generated ones, and small circuits."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import loomwright
from compiler.circuit.graph import Graph
from compiler.isolation.bench import Bench
from compiler.network.network import Network
from tests.chaos.variants import make_variant
from tests.network.circuits import network_of, variant_of

_SANDPIPER = Path(__file__).parents[2] / "samples" / "sandpiper" / "S4.loom"
SCREEN = "Rear screen stays cold, tell-tale lit"

LAMP = """
battery BT1 12.6 V 70 Ah 6 mohm
harness body
harness tail
zone cab
ground G1 on chassis at cab access 3 min
ground G2 on chassis at cab access 3 min
fuse F1 10 A blade at cab access 1 min
switch S1 at cab access 2 min { positions off on; contact 1 2 when on }
connector C1 3 cavities body -- tail at cab access 4 min { spare 3 }
splice SP1 in tail at cab access 5 min
lamp E1 1 2 21 W at cab access 2 min
lamp E2 1 2 21 W at cab access 2 min
circuit 1 2.5 mm2 RD in body {
  A  BT1.+ -- F1.1  1 m
  B  F1.2 -- S1.1  1 m
  C  S1.2 -- C1.1  1 m
  D  C1.1 -- SP1  1 m  in tail
  E  SP1 -- E1.1  1 m  in tail
  F  SP1 -- E2.1  1 m  in tail
}
circuit 2 2.5 mm2 BK in tail {
  A  E1.2 -- G2  1 m
  B  E2.2 -- G1  1 m
  C  BT1.- -- G1  1 m  in body
}
complaint "Left lamp dark, right lamp lit" {
  set  S1 on
  seen E1 out, E2 lit
}
trouble-code B1 "Lamp circuit open" circuit 1 open
"""


@cache
def demo() -> Bench:
    """The demo variant."""
    return Bench(Network(Graph(loomwright.load(_SANDPIPER))))


@cache
def lamps() -> Bench:
    """Two lamps behind one switch, each with a ground of its own."""
    return Bench(network_of(LAMP))


def generated(seed: int, wires: int) -> Bench:
    """A generated variant."""
    return Bench(Network(Graph(variant_of(make_variant(seed, wires)))))
