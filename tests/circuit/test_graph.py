"""The graph and its plain search, against networkx."""

from __future__ import annotations

import random

import networkx as nx
import pytest

from compiler.circuit.graph import FEEDING, PLAIN, Graph, device_terminal
from compiler.model.items import Behaviour, Connector, Wire
from compiler.model.variant import Variant
from tests.circuit.build import LAMPS, as_networkx, at, chaos, sample, variant_of

VARIANTS = ["lamps", "S2", "S4", *range(0, 200, 20)]


def variant_named(name: object) -> Variant:
    if name == "lamps":
        return variant_of(LAMPS)
    return chaos(name) if isinstance(name, int) else sample(str(name))


def test_every_wire_is_an_edge_between_its_ends() -> None:
    variant = variant_of(LAMPS)
    graph = Graph(variant)
    wires = [edge for edge in graph.edges if edge.behaviour is Behaviour.WIRE]
    assert [edge.owner for edge in wires] == list(variant.wires)
    assert graph.edges[: len(wires)] == wires, "wires have the first numbers"
    for edge, wire in zip(wires, variant.wires, strict=True):
        assert (graph.points[edge.a], graph.points[edge.b]) == (wire.a.point, wire.b.point)


def test_a_wire_with_an_end_that_is_not_known_is_none() -> None:
    graph = Graph(variant_of("lamp E1 1 2 5 W\ncircuit 1 1 mm2 BK { A  E1.1 -- ?  1 m }"))
    assert not any(isinstance(edge.owner, Wire) for edge in graph.edges)


def test_cavities_join_their_halves_and_component_connectors_their_terminals() -> None:
    graph = Graph(variant_of(LAMPS))
    cavities = {(e.a, e.b) for e in graph.edges if isinstance(e.owner, Connector)}
    assert (at(graph, "C1.1", 0), at(graph, "C1.1", 1)) in cavities
    assert (at(graph, "C11.1"), at(graph, "E1.1")) in cavities
    assert all(point.terminal != "3" for point in graph.points if point.item == "C1"), "nobody wires cavity 3"


def test_buses_and_bolts() -> None:
    graph = Graph(variant_of(LAMPS))
    kinds = {frozenset((str(graph.points[e.a]), str(graph.points[e.b]))): e.behaviour for e in graph.edges}
    assert kinds[frozenset(("RUN-BUS", "F1.1"))] is Behaviour.JOIN
    assert kinds[frozenset(("F1.1", "F1.2"))] is Behaviour.PROTECTION
    assert kinds[frozenset(("G3", "structure shell"))] is Behaviour.STRUCTURE
    assert kinds[frozenset(("S1.1", "S1.2"))] is Behaviour.CONTACT


def test_a_case_bolts_to_its_structure() -> None:
    graph = Graph(variant_of("horn H1 1 case chassis 60 W\nring-terminal E9\ncircuit 1 1 mm2 BK { A E9 -- H1.1 1 m }"))
    [bolt] = [e for e in graph.edges if e.behaviour is Behaviour.STRUCTURE]
    assert (str(graph.points[bolt.a]), str(graph.points[bolt.b])) == ("H1.case", "structure chassis")


def test_columns_and_edges_say_the_same() -> None:
    graph = Graph(sample("S4"))
    for behaviour, numbers in graph.sorted_edges.items():
        assert numbers == [n for n, edge in enumerate(graph.edges) if edge.behaviour is behaviour]
    for node, around in enumerate(graph.around):
        assert around == [n for n, edge in enumerate(graph.edges) if node in (edge.a, edge.b)]


def test_the_terminal_behind_a_cavity() -> None:
    variant = variant_of(LAMPS)
    assert device_terminal(variant.devices["E1"], "C11", "1") == "1"
    assert device_terminal(variant.devices["E1"], "C11", "9") == ""
    module = variant_of("module A1 { connector C2 2 cavities { spare rest }\npin C2.1 supply }")
    assert device_terminal(module.devices["A1"], "C2", "1") == "C2.1"


@pytest.mark.parametrize("name", VARIANTS)
@pytest.mark.parametrize("passes", [PLAIN, FEEDING, frozenset(Behaviour)], ids=["plain", "feeding", "all"])
@pytest.mark.parametrize("against", [False, True])
def test_a_flood_reaches_what_networkx_reaches(name: object, passes: frozenset[Behaviour], against: bool) -> None:
    graph = Graph(variant_named(name))
    other = as_networkx(graph, passes)
    if against:
        other = other.reverse()
    for start in random.Random(f"{name}").sample(range(len(graph.points)), 5):
        reached = graph.flood([start], passes, against=against)
        distance = nx.single_source_shortest_path_length(other, start)
        assert set(reached.order) == set(reached.by) == set(distance)
        assert [distance[node] for node in reached.order] == sorted(distance.values()), "breadth first"
        for node in reached.order[:: max(1, len(reached.order) // 20)]:
            path = graph.path(reached, node)
            assert len(path) == distance[node]
            here = start
            for edge in path:
                here = graph.other(edge, here)
            assert here == node


def test_a_flood_keeps_within_and_skips() -> None:
    graph = Graph(variant_of(LAMPS))
    start = at(graph, "SP1")
    inside = {start, at(graph, "C1.1", 1), at(graph, "C1.1", 0)}
    assert set(graph.flood([start], PLAIN, within=inside).order) == inside
    no_cavity = graph.flood([start], PLAIN, skip=lambda edge: isinstance(edge.owner, Connector))
    assert at(graph, "C1.1", 1) in no_cavity.by
    assert at(graph, "C1.1", 0) not in no_cavity.by
