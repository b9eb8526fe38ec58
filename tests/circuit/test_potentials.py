"""Potentials and the search over them, against networkx: components, and what changeover contacts let through."""

from __future__ import annotations

from random import Random

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from compiler.circuit.graph import Graph
from compiler.circuit.potentials import JOINED, Potentials
from compiler.model.items import Behaviour, Part
from tests.circuit.build import as_networkx, at, feeds_of, variant_of
from tests.circuit.test_graph import VARIANTS, variant_named

PASSING = JOINED | {Behaviour.CONTACT, Behaviour.DIODE, Behaviour.DRIVER, Behaviour.PROTECTION, Behaviour.STRUCTURE}

# A motor between two changeover contacts, as in a window lift: M1 is taken to supply or to ground at either end.
LIFT = """
battery BT1 12.6 V
ground G1
fuse F1 20 A blade
switch S1 "Lift" {
  positions rest up down
  contact 30 L when up
  contact 31 L when rest down
  contact 30 R when down
  contact 31 R when rest up
}
motor M1 1 2 90 W
circuit 1 2.5 mm2 RD {
  A  BT1.+ -- F1.1  0.1 m  allow unfused-feed "short"
  B  F1.2  -- S1.30 1 m
  C  S1.L  -- M1.1  1 m
  D  S1.R  -- M1.2  1 m
  E  S1.31 -- G1    1 m
  F  BT1.- -- G1    1 m
}
"""


@pytest.mark.parametrize("name", VARIANTS)
def test_potentials_are_the_connected_components_of_networkx(name: object) -> None:
    graph = Graph(variant_named(name))
    potentials = Potentials(graph)
    own = {frozenset(members) for members in potentials.members}
    theirs = {frozenset(c) for c in nx.connected_components(as_networkx(graph, JOINED).to_undirected())}
    assert own == theirs
    assert all(potentials.of[node] == n for n, members in enumerate(potentials.members) for node in members)


@pytest.mark.parametrize("name", VARIANTS)
def test_every_wire_belongs_to_the_potential_of_its_ends(name: object) -> None:
    variant = variant_named(name)
    graph = Graph(variant)
    potentials = Potentials(graph)
    assert sorted(w.id for wires in potentials.wires for w in wires) == sorted(w.id for w in variant.wires)
    for number, wires in enumerate(potentials.wires):
        for wire in wires:
            assert {potentials.of[graph.index[end.point]] for end in wire.ends if end.point} == {number}


@pytest.mark.parametrize("name", VARIANTS)
@pytest.mark.parametrize("against", [False, True])
def test_reach_goes_no_further_than_a_walk_may(name: object, against: bool) -> None:
    """The rule spelt out for networkx: a state is a potential and the stretch by which it was come to; from one stretch
    to the next there is a way unless both are contacts of one device with no position in common."""
    graph = Graph(variant_named(name))
    potentials = Potentials(graph)
    turns = graph_of_turns(graph, potentials, against)
    for start in {*supplies(graph, potentials), 0, len(potentials.members) // 2}:
        walked = {start} | {state[0] for state in nx.descendants(turns, (start, -1))}
        plain = nx.descendants(as_networkx_of_potentials(graph, potentials, against), start) | {start}
        reached = set(potentials.reach([start], PASSING, against=against))
        assert reached <= walked <= plain
        if not potentials.rivals:
            assert reached == plain


@given(st.integers(0, 10**6), st.booleans())
def test_reach_misses_nothing_that_a_simple_path_reaches(seed: int, against: bool) -> None:
    graph = Graph(variant_of(tangle(Random(seed))))
    potentials = Potentials(graph)
    turns = graph_of_turns(graph, potentials, against)
    start = potentials.of[at(graph, "SP0")]
    reached = set(potentials.reach([start], PASSING, against=against))
    assert simply_reached(turns, start) <= reached <= {start} | {s[0] for s in nx.descendants(turns, (start, -1))}


def tangle(random: Random) -> str:
    """A few changeover switches, diodes and fuses between a few splices, as no vehicle has them."""
    splices = [f"SP{n}" for n in range(4)]
    lines = [f"splice {splice}" for splice in splices]
    wires: list[str] = []
    for number in range(random.randint(2, 6)):
        kind = random.choice(("switch", "switch", "switch", "diode", "fuse"))
        if kind == "switch":
            lines.append(f"switch S{number} {{ positions a b c")
            for _ in range(random.randint(1, 4)):
                one, two = random.sample("123", 2)
                when = " ".join(random.sample("abc", random.randint(1, 2)))
                lines.append(f"contact {one} {two} when {when}")
            lines.append("terminals 1 2 3 }")
        else:
            lines.append(f"{kind} S{number} 1 2" + (" 10 A" if kind == "fuse" else ""))
        terminals = "123" if kind == "switch" else "12"
        wires += [f"S{number}.{terminal} -- {random.choice(splices)}  1 m" for terminal in terminals]
    body = "\n".join(f"A{n}  {wire}" for n, wire in enumerate([*wires, "SP0 -- SP0  1 m"]))
    return "\n".join([*lines, "circuit 1 1 mm2 RD {", body, "}"])


def simply_reached(turns: nx.DiGraph, start: int) -> set[int]:
    """Potentials at the ends of paths that visit no potential twice."""
    found: set[int] = set()

    def walk(state: tuple[int, int], visited: frozenset[int]) -> None:
        found.add(state[0])
        for following in turns.successors(state):
            if following[0] not in visited:
                walk(following, visited | {following[0]})

    walk((start, -1), frozenset({start}))
    return found


def supplies(graph: Graph, potentials: Potentials) -> list[int]:
    return [potentials.of[graph.tails[edge]] for edge in graph.sorted_edges[Behaviour.SOURCE]]


def as_networkx_of_potentials(graph: Graph, potentials: Potentials, against: bool) -> nx.DiGraph:
    whole = as_networkx(graph, PASSING)
    return nx.DiGraph(
        (potentials.of[b], potentials.of[a]) if against else (potentials.of[a], potentials.of[b])
        for a, b in [*whole.edges(keys=False), *((n, n) for n in whole)]
    )


def graph_of_turns(graph: Graph, potentials: Potentials, against: bool) -> nx.DiGraph:
    turns: nx.DiGraph = nx.DiGraph()
    moves: dict[int, list[tuple[int, int]]] = {n: [] for n in range(len(potentials.members))}
    for number, edge in enumerate(graph.edges):
        if edge.behaviour in PASSING - JOINED:
            a, b = potentials.of[edge.a], potentials.of[edge.b]
            one_way = edge.behaviour in (Behaviour.DIODE, Behaviour.DRIVER)
            if not (one_way and against):
                moves[a].append((number, b))
            if not one_way or against:
                moves[b].append((number, a))
    arrivals = {n: [-1] for n in moves}
    for leaving in moves.values():
        for number, to in leaving:
            arrivals[to].append(number)
    for here, leaving in moves.items():
        for arrival in arrivals[here]:
            turns.add_node((here, arrival))
            for number, to in leaving:
                if not exclusive(graph, arrival, number):
                    turns.add_edge((here, arrival), (to, number))
    return turns


def exclusive(graph: Graph, one: int, two: int) -> bool:
    if one < 0 or graph.inside[one] != graph.inside[two]:
        return False
    parts = (graph.owners[one], graph.owners[two])
    whens = [set(part.when) for part in parts if isinstance(part, Part) and part.kind == "contact"]
    return len(whens) == 2 and all(whens) and not whens[0] & whens[1]


def test_a_changeover_contact_joins_one_side_or_the_other() -> None:
    feeds = feeds_of(LIFT)
    of = feeds.potentials.of
    name = {n: of[at(feeds.graph, n)] for n in ("S1.30", "S1.31", "M1.1", "M1.2")}
    assert {n for n, potential in name.items() if potential in feeds.fed_by} == {"S1.30", "M1.1", "M1.2"}
    assert {n for n, potential in name.items() if potential in feeds.grounded_by} == {"S1.31", "M1.1", "M1.2"}


def test_a_contact_ruled_out_on_one_way_is_passed_on_another() -> None:
    """The common of a changeover that is also fed by a wire of its own lets current out at both sides."""
    text = """
    relay K1 { coil 86 85 90 ohm; contact 30 87 when energised; contact 30 87a when at-rest }
    switch S1 { positions off on; contact 1 2 when on }
    splice SP1
    circuit 1 1 mm2 RD {
      A  SP1   -- K1.87  1 m
      B  SP1   -- S1.1   1 m
      C  S1.2  -- K1.30  1 m
    }
    """
    feeds = feeds_of(text)
    of, reach = feeds.potentials.of, feeds.potentials.reach
    assert of[at(feeds.graph, "K1.87a")] in reach([of[at(feeds.graph, "SP1")]], PASSING)
    alone = feeds_of(text.replace("B  SP1   -- S1.1", "B  S1.1  -- S1.1"))
    of, reach = alone.potentials.of, alone.potentials.reach
    assert of[at(alone.graph, "K1.87a")] not in reach([of[at(alone.graph, "SP1")]], PASSING)


def test_a_lift_worked_from_two_switches_does_not_feed_its_own_ground() -> None:
    """The driver's switch takes the leads of the passenger's to supply or ground; the passenger's own feed comes in
    behind them. With the ground wire lost, no way leads from either feed to the ground side."""
    feeds = feeds_of(
        """
        battery BT1 12.6 V
        ground G1
        fuse F1 20 A blade
        switch S1 "Driver" {
          positions rest up down
          contact 31 UP when rest down
          contact 31 DN when rest up
          contact 30 UP when up
          contact 30 DN when down
        }
        switch S2 "Passenger" {
          positions rest up down
          contact UP1 UP when rest down
          contact DN1 DN when rest up
          contact 30 UP when up
          contact 30 DN when down
        }
        motor M1 1 2 90 W
        splice SP1
        circuit 1 2.5 mm2 RD {
          A  BT1.+  -- F1.1   1 m
          B  F1.2   -- SP1    1 m
          C  SP1    -- S1.30  1 m
          D  SP1    -- S2.30  1 m
          E  S1.UP  -- S2.UP1 1 m
          F  S1.DN  -- S2.DN1 1 m
          G  S2.UP  -- M1.1   1 m
          H  S2.DN  -- M1.2   1 m
          I  BT1.-  -- G1     1 m
        }
        """
    )
    of = feeds.potentials.of
    assert of[at(feeds.graph, "M1.1")] in feeds.fed_by
    assert of[at(feeds.graph, "S2.UP1")] in feeds.fed_by
    assert of[at(feeds.graph, "S1.31")] not in feeds.fed_by
