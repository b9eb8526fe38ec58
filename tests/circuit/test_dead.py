"""Circuits that can never work.

The oracle is a theorem of graphs that networkx knows: current can run through a load only if the load and a supply lie
on one circle, which is to say in one biconnected component.
"""

from __future__ import annotations

import random
from dataclasses import replace

import networkx as nx
import pytest

from compiler.circuit.dead import Dead, DeadCircuits, Lack
from compiler.circuit.feeds import Feeds
from compiler.circuit.graph import Graph
from compiler.circuit.stops import find_stop
from compiler.model.items import Behaviour, Wire
from compiler.model.variant import Variant
from tests.circuit.build import LAMPS, chaos, feeds_of, sample

CONDUCTING = frozenset(Behaviour) - {Behaviour.BLOCK}


def dead_of(text: str) -> tuple[Dead, ...]:
    return DeadCircuits(feeds_of(text)).found


def devices(dead: Dead) -> list[str]:
    return list(dict.fromkeys(consumer.device.id for consumer in dead.consumers))


def stop(text: str) -> str:
    feeds = feeds_of(text)
    [dead] = DeadCircuits(feeds).found
    found = find_stop(feeds.potentials, dead)
    return found.words if found else ""


def on_a_circle(graph: Graph) -> set[int]:
    """Edges that lie on one circle with a supply."""
    whole: nx.Graph = nx.Graph()
    for number, edge in enumerate(graph.edges):
        if edge.behaviour in CONDUCTING and edge.a != edge.b:
            # A node in the middle, so that edges side by side stay apart.
            whole.add_edge(edge.a, ("edge", number))
            whole.add_edge(("edge", number), edge.b)
    found: set[int] = set()
    supplies = {("edge", number) for number in graph.sorted_edges[Behaviour.SOURCE]}
    for component in nx.biconnected_components(whole):
        if component & supplies:
            found.update(node[1] for node in component if isinstance(node, tuple))
    return found


@pytest.mark.parametrize("seed", range(200))
def test_in_a_sound_variant_nothing_is_dead(seed: int) -> None:
    graph = Graph(chaos(seed, 40 + seed % 60))
    assert not DeadCircuits(Feeds(graph)).found
    working = on_a_circle(graph)
    loads = (*graph.sorted_edges[Behaviour.LOAD], *graph.sorted_edges[Behaviour.COIL])
    assert set(loads) <= working, "networkx agrees"


@pytest.mark.parametrize("name", ["S2", "S4"])
def test_in_the_samples_nothing_is_dead(name: str) -> None:
    graph = Graph(sample(name))
    assert not DeadCircuits(Feeds(graph)).found
    assert set(graph.sorted_edges[Behaviour.LOAD]) <= on_a_circle(graph)


def without(variant: Variant, wires: set[Wire]) -> Variant:
    """The variant with wires cut: each ends in the air at one side, at a splice that nothing else joins."""
    return replace(variant, wires=tuple(wire for wire in variant.wires if wire not in wires))


@pytest.mark.parametrize("seed", range(60))
def test_what_no_circle_joins_to_a_supply_is_found(seed: int) -> None:
    """Cut wires anywhere: a load that networkx finds off every circle is found, unless a bare terminal tells of it."""
    variant = chaos(seed, 60)
    source = random.Random(seed)
    cut = without(variant, set(source.sample(variant.wires, source.randint(1, 4))))
    graph = Graph(cut)
    circuits = DeadCircuits(Feeds(graph))
    found = {consumer.edge for dead in circuits.found for consumer in dead.consumers}
    working = on_a_circle(graph)
    loads = {*graph.sorted_edges[Behaviour.LOAD], *graph.sorted_edges[Behaviour.COIL]}
    for edge in loads - working - found:
        assert bare_side(graph, edge), f"{graph.points[graph.tails[edge]]} is dead and nobody says so"


def bare_side(graph: Graph, edge: int) -> bool:
    """Whether one side of a load hangs together with nothing but terminals that no wire reaches."""
    for side in (graph.tails[edge], graph.heads[edge]):
        reached = graph.flood([side], CONDUCTING, skip=lambda other: other is graph.edges[edge])
        if not any(isinstance(graph.owners[e], Wire) for node in reached.order for e in graph.around[node]):
            return True
    return False


def test_a_bus_that_nothing_feeds_is_one_fault() -> None:
    text = LAMPS.replace("  B  FL1.2  -- RUN-BUS  4 mm2  1.2 m\n", "")
    [dead] = dead_of(text)
    assert dead.lack is Lack.FEED
    assert devices(dead) == ["S1", "E1", "E2"]
    assert stop(text) == "bus RUN-BUS"


def test_a_structure_without_a_strap_is_one_fault() -> None:
    text = LAMPS.replace("  B  G1    -- G2     16 mm2  0.8 m\n", "")
    [dead] = dead_of(text)
    assert dead.lack is Lack.RETURN
    assert devices(dead) == ["S1", "E1", "E2"]
    assert stop(text) == "structure shell"


# Two lamps of two circuits that share a return splice, each behind a switch, with other lamps on the same feeds.
SHARED = """
battery BT1 12.6 V
ground G1
bus B1
fuse F1 10 A blade from B1
fuse F2 10 A blade from B1
switch S1 { positions off on; contact 1 2 when on }
switch S2 { positions off on; contact 1 2 when on }
splice SP1
splice SP2
splice SP3
lamp E1 1 2 5 W
lamp E2 1 2 5 W
lamp E3 1 2 5 W
lamp E4 1 2 5 W
circuit 1 2.5 mm2 RD {
  A  BT1.+ -- B1  1 m
  B  F1.2 -- S1.1  1 m
  C  F2.2 -- S2.1  1 m
  D  S1.2 -- SP1  1 m
  E  S2.2 -- SP2  1 m
  F  SP1 -- E1.1  1 m
  G  SP1 -- E3.1  1 m
  H  SP2 -- E2.1  1 m
  I  SP2 -- E4.1  1 m
}
circuit 2 2.5 mm2 BK {
  A  E1.2 -- SP3  1 m
  B  E2.2 -- SP3  1 m
  C  E3.2 -- G1  1 m
  D  E4.2 -- G1  1 m
  E  BT1.- -- G1  1 m
  F  SP3 -- G1  1 m
}
"""


def test_lamps_on_a_splice_that_lost_its_ground_have_no_return() -> None:
    """Though current can run from one feed through both of them to the other feed and through a third lamp to ground:
    networkx finds that circle, and it is not what the lamps are there for."""
    assert not dead_of(SHARED)
    text = SHARED.replace("  F  SP3 -- G1  1 m\n", "")
    [dead] = dead_of(text)
    assert (dead.lack, devices(dead)) == (Lack.RETURN, ["E1", "E2"])
    assert stop(text) == "splice SP3"
    graph = feeds_of(text).graph
    assert set(graph.sorted_edges[Behaviour.LOAD]) <= on_a_circle(graph)


def test_a_tell_tale_between_two_switched_circuits_works() -> None:
    assert not dead_of(
        SHARED.replace("  F  SP3 -- G1  1 m\n", "  F  SP3 -- G1  1 m\n  G  SP1 -- E9.1  1 m\n  H  SP2 -- E9.2  1 m\n")
        + "led E9 1 2 1 W\n"
    )


def test_a_lamp_between_two_live_feeds_never_lights() -> None:
    text = SHARED + "lamp E9 1 2 5 W\ncircuit 3 1 mm2 RD {\n  A  F1.2 -- E9.1  1 m\n  B  F2.2 -- E9.2  1 m\n}\n"
    [dead] = dead_of(text)
    assert (dead.lack, devices(dead), dead.region) == (Lack.RETURN, ["E9"], [])


def test_a_lamp_between_two_grounds_never_lights() -> None:
    text = SHARED + "lamp E9 1 2 5 W\nground G2\ncircuit 3 1 mm2 BK {\n  A  G1 -- E9.1  1 m\n  B  G2 -- E9.2  1 m\n}\n"
    [dead] = dead_of(text)
    assert (dead.lack, devices(dead), dead.region) == (Lack.FEED, ["E9"], [])


def test_a_lamp_with_both_terminals_on_one_splice() -> None:
    text = SHARED.replace("A  E1.2 -- SP3", "A  E1.2 -- SP1")
    [dead] = dead_of(text)
    assert (dead.lack, devices(dead)) == (Lack.JOINED, ["E1"])


def series(more: str = "  D  E2.2 -- G1  1 m\n") -> str:
    return f"""
    battery BT1 12.6 V
    ground G1
    fuse F1 10 A blade
    lamp E1 1 2 5 W
    lamp E2 1 2 5 W
    circuit 1 1 mm2 RD {{
      A  BT1.+ -- F1.1  1 m
      B  F1.2 -- E1.1  1 m
      C  E1.2 -- E2.1  1 m
    {more}  E  BT1.- -- G1  1 m
    }}
    """


def test_loads_in_series_feed_and_return_through_each_other() -> None:
    assert not dead_of(series())
    [dead] = dead_of(
        series("  D  E2.2 -- E3.1  1 m\n").replace("lamp E2", "resistor E3 1 2 5 ohm { spare 2 }\n lamp E2")
    )
    assert (dead.lack, devices(dead)) == (Lack.RETURN, ["E1", "E2"])


def test_a_diode_feeds_in_its_direction_only() -> None:
    text = series("  D  E2.2 -- V1.1  1 m\n  F  V1.2 -- G1  1 m\n") + "diode V1 1 2\n"
    assert not dead_of(text)
    turned = text.replace("V1.1  1 m", "V1.9  1 m").replace("V1.2", "V1.1").replace("V1.9", "V1.2")
    assert [d.lack for d in dead_of(turned)] == [Lack.RETURN]


def test_a_module_output_feeds_and_its_switched_ground_returns() -> None:
    text = """
    battery BT1 12.6 V
    ground G1
    fuse F1 10 A blade
    module A1 { connector C1 4 cavities; pin C1.1 supply; pin C1.2 ground; pin C1.3 high-side; pin C1.4 low-side }
    lamp E1 1 2 5 W
    relay K1 { coil 86 85 90 ohm; contact 30 87; spare 30 87 }
    splice SP1
    circuit 1 1 mm2 RD {
      A  BT1.+ -- F1.1  1 m
      B  F1.2 -- SP1  1 m
      C  SP1 -- C1.1  1 m
      D  SP1 -- K1.86  1 m
      E  K1.85 -- C1.4  1 m
      F  C1.3 -- E1.1  1 m
      G  E1.2 -- G1  1 m
      H  C1.2 -- G1  1 m
      I  BT1.- -- G1  1 m
    }
    """
    assert not dead_of(text)
    [dead] = dead_of(text.replace("      H  C1.2 -- G1  1 m\n", "      H  C1.2 -- E9  1 m\n") + "bus E9\n")
    assert (dead.lack, devices(dead)) == (Lack.RETURN, ["A1", "K1"])


UNKNOWN = """
battery BT1 12.6 V
ground G1
fuse F1 10 A blade
{kind} A9 1 2
lamp E1 1 2 5 W
circuit 1 1 mm2 RD {{
  A  BT1.+ -- F1.1  1 m
  B  F1.2 -- A9.1  1 m
  C  A9.2 -- E1.1  1 m
  D  E1.2 -- G1  1 m
  E  BT1.- -- G1  1 m
}}
"""


@pytest.mark.parametrize(("kind", "dead"), [("component", 0), ("sensor", 0), ("capacitor", 1)])
def test_insides_that_are_not_given_may_conduct(kind: str, dead: int) -> None:
    assert len(dead_of(UNKNOWN.format(kind=kind))) == dead


def test_an_end_that_is_not_known_may_be_fed() -> None:
    assert dead_of(UNKNOWN.format(kind="capacitor").replace("A9.2 --", "SP1 --") + "splice SP1\n")
    assert not dead_of(UNKNOWN.format(kind="capacitor").replace("A9.2 --", "? --"))


def test_a_terminal_without_a_wire_is_left_to_its_own_check() -> None:
    assert not dead_of(UNKNOWN.format(kind="capacitor").replace("  C  A9.2 -- E1.1  1 m\n", ""))


def test_an_alternator_that_does_not_return_charges_nothing() -> None:
    text = LAMPS + "structure engine\nalternator A1 B+ D+ case engine 14 V 90 A { spare D+ }\n"
    text += "circuit 8 16 mm2 RD in body { A  A1.B+ -- STUD1  1 m }\n"
    [dead] = dead_of(text)
    assert (dead.lack, devices(dead)) == (Lack.RETURN, ["A1"])
    assert not dead_of(text + "ground G8 on engine\ncircuit 9 16 mm2 BK in body { A  G8 -- G1  1 m }\n")


def test_without_a_supply_nothing_is_said() -> None:
    text = LAMPS.replace('battery BT1 "Battery" 12.6 V 60 Ah', "component BT1 p m")
    assert not dead_of(text.replace("BT1.+", "BT1.p").replace("BT1.-", "BT1.m"))
