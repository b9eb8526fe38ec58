"""Traces: shortest ways and potentials, against networkx."""

from __future__ import annotations

import random

import networkx as nx
import pytest

from compiler.circuit.graph import Graph
from compiler.circuit.names import UnknownPlaceError, find
from compiler.circuit.potentials import JOINED
from compiler.circuit.trace import Leg, Trace, What, trace
from compiler.model.items import Behaviour, Wire
from compiler.model.variant import Variant
from tests.circuit.build import LAMPS, as_networkx, chaos, sample, variant_of
from tests.circuit.test_graph import VARIANTS, variant_named

LOADS = {Behaviour.LOAD, Behaviour.COIL, Behaviour.RESISTOR}
CONDUCTING = set(Behaviour) - {Behaviour.BLOCK, Behaviour.SOURCE}


def of(text: str, start: str, end: str | None = None) -> Trace:
    variant = variant_of(text)
    return trace(variant, Graph(variant), start, end)


def passed(leg: Leg) -> list[str]:
    return [leg.start.name, *(step.end.name for step in leg.steps)]


def fewest(graph: Graph, starts: tuple[int, ...], goals: tuple[int, ...], behaviours: set[Behaviour]) -> int | None:
    """The least number of wires and bolts between two sets of nodes, by networkx; None where there is no way."""
    plain: nx.Graph = nx.Graph()
    plain.add_nodes_from(range(len(graph.points)))
    for edge in graph.edges:
        if edge.behaviour in behaviours:
            weight = int(edge.behaviour in (Behaviour.WIRE, Behaviour.STRUCTURE))
            if not plain.has_edge(edge.a, edge.b) or plain.edges[edge.a, edge.b]["weight"] > weight:
                plain.add_edge(edge.a, edge.b, weight=weight)
    lengths = nx.multi_source_dijkstra_path_length(plain, set(starts))
    return min((lengths[goal] for goal in goals if goal in lengths), default=None)


@pytest.mark.parametrize("name", [*VARIANTS, *range(1, 200, 4)])
def test_a_path_passes_the_fewest_wires(name: object) -> None:
    variant = variant_named(name)
    graph = Graph(variant)
    source = random.Random(f"{name}")
    for _ in range(6):
        start, end = source.sample(list(variant.devices), 2)
        found = trace(variant, graph, start, end)
        starts, goals = find(graph, start).nodes, find(graph, end).nodes
        over_loads = fewest(graph, starts, goals, CONDUCTING)
        plainly = fewest(graph, starts, goals, CONDUCTING - LOADS)
        assert bool(found.legs) is (over_loads is not None)
        if plainly is None:
            assert found.loads or not found.legs
            continue
        [leg] = found.legs
        assert found.loads == ()
        assert sum(step.what in (What.WIRE, What.METAL) for step in leg.steps) == plainly
        check_chain(graph, leg)


def check_chain(graph: Graph, leg: Leg) -> None:
    here = leg.start.point
    for step in leg.steps:
        assert step.start.point == here
        edges = set(graph.around[graph.index[here]]) & set(graph.around[graph.index[step.end.point]])
        owner = step.wire or step.part
        assert any(owner is None or graph.owners[edge] is owner for edge in edges)
        here = step.end.point


@pytest.mark.parametrize("name", VARIANTS)
def test_a_tree_is_a_potential_of_networkx_and_passes_each_edge_once(name: object) -> None:
    variant = variant_named(name)
    graph = Graph(variant)
    whole = as_networkx(graph, JOINED).to_undirected()
    for item in random.Random(f"{name}").sample(list(variant.items), 8):
        try:
            nodes = find(graph, item).nodes
        except UnknownPlaceError:
            continue
        found = trace(variant, graph, item)
        expected = {frozenset(nx.node_connected_component(whole, node)) for node in nodes}
        trees = [frozenset(graph.index[s.point] for s in stops(leg)) for leg in found.legs]
        assert set(trees) == expected
        assert len(trees) == len(expected)
        for leg, tree in zip(found.legs, trees, strict=True):
            assert len(leg.steps) == whole.subgraph(tree).number_of_edges()
            assert sum(not step.again for step in leg.steps) == len(tree) - 1


def stops(leg: Leg) -> list:  # type: ignore[type-arg]
    return [leg.start, *(step.end for step in leg.steps)]


@pytest.mark.parametrize("seed", range(0, 200, 25))
def test_the_same_question_has_the_same_answer(seed: int) -> None:
    for start, end in (("BT1", None), ("STUD1", "G1"), ("BT1.+", "BT1.-")):
        answers = []
        for _ in range(2):
            variant = chaos(seed)
            found = trace(variant, Graph(variant), start, end)
            answers.append(
                [(leg.start.name, [(s.end.name, s.end.side, s.depth, s.says) for s in leg.steps]) for leg in found.legs]
            )
        assert answers[0] == answers[1]


def test_a_path_cavity_by_cavity() -> None:
    found = of(LAMPS, "F1", "E1")
    [leg] = found.legs
    assert (found.start, found.end) == ("F1", "E1")
    assert passed(leg) == ["F1.2", "S1.1", "S1.2", "C1.1", "C1.1", "SP1", "C11.1", "E1.1"]
    assert [step.what.value for step in leg.steps] == ["wire", "inside", "wire", "cavity", "wire", "wire", "cavity"]
    assert [step.end.side for step in leg.steps][2:4] == ["body side", "tail side"]
    assert [wire.id for wire in found.wires] == ["2A", "2B", "2C", "2D"]
    assert found.length_m == pytest.approx(0.6 + 1.5 + 0.5 + 0.3)
    contact, wire = leg.steps[1], leg.steps[2]
    assert contact.says == "contact, closed when on"
    assert (wire.circuit, wire.segment, wire.colour, str(wire.size), wire.length_m, wire.harness) == (
        "2", "B", "BN", "1 mm2", 1.5, "body",
    )  # fmt: skip


def test_a_load_is_the_last_resort() -> None:
    found = of(LAMPS, "SP1", "G3")
    assert found.loads == ("E2",)
    assert passed(found.legs[0]) == ["SP1", "E2.1", "E2.2", "G3"]
    assert of(LAMPS, "S1.2", "S1.3").loads == ("S1",)
    # With a way round through the switch's own contact and the battery there is none: the battery is no way.
    assert of(LAMPS, "BT1.+", "BT1.-").loads


def test_no_way() -> None:
    found = of(
        LAMPS + "lamp E9 1 2 5 W\nring-terminal E8\ncircuit 8 1 mm2 RD in body { A E9.1 -- E8 1 m }\n", "E9", "BT1"
    )
    assert found.legs == ()
    assert found.wires == ()


def test_a_place_and_itself() -> None:
    [leg] = of(LAMPS, "SP1", "SP1").legs
    assert leg.steps == ()


def test_a_tree_stops_at_loads_contacts_fuses_and_metal() -> None:
    [leg] = of(LAMPS, "SP1").legs
    ends = {step.end.name: step.ends for step in leg.steps if step.ends}
    assert ends == {
        "S1.2": ("contact, closed when on, to S1.1", 'lamp "tell-tale", 1.2 W, to S1.3'),
        "E1.1": ("lamp, 5 W, to E1.2",),
        "E2.1": ("lamp, 5 W, to E2.2",),
    }
    [ground] = of(LAMPS, "G3").legs
    assert ground.ends == ("bolted to structure shell",)


def test_a_tree_in_reading_order() -> None:
    [leg] = of(LAMPS, "SP1").legs
    rows = [(step.depth, step.end.name, step.end.side, step.wire.id if step.wire else "") for step in leg.steps]
    assert rows == [
        (1, "C1.1", "tail side", "2C"),
        (2, "C1.1", "body side", ""),
        (3, "S1.2", "", "2B"),
        (1, "C11.1", "harness side", "2D"),
        (2, "E1.1", "", ""),
        (1, "E2.1", "", "2E"),
    ]


def test_a_loop_is_shown_where_it_closes() -> None:
    text = "splice SP1\nsplice SP2\ncircuit 1 1 mm2 RD {\n  A  SP1 -- SP2  1 m\n  B  SP2 -- SP1  1 m\n}"
    [leg] = of(text, "SP1").legs
    assert [(step.wire.id if step.wire else "", step.again) for step in leg.steps] == [("1A", False), ("1B", True)]


def test_places_access_and_sheets() -> None:
    variant = sample("S4")
    [leg] = trace(variant, Graph(variant), "C40.7", "R3").legs
    hinge, screen = leg.start, leg.steps[-1].end
    assert hinge.place
    assert hinge.access_min == variant.connectors["C40"].place.access_min  # type: ignore[union-attr]
    plug = leg.steps[-2].end
    assert (plug.side, plug.place, plug.title) == ("harness side", screen.place, screen.title)
    assert leg.steps[0].sheets == variant.sheets_of_circuit(leg.steps[0].circuit) != ()


@pytest.mark.parametrize(
    ("name", "words", "points"),
    [
        ("SP1", "SP1", ["SP1"]),
        ("E2", "E2", ["E2.1", "E2.2"]),
        ("E2.1", "E2.1", ["E2.1"]),
        ("C1.1", "C1.1", ["C1.1", "C1.1"]),
        ("C1.1@tail", "C1.1@tail", ["C1.1"]),
        ("C11.1", "C11.1", ["C11.1", "E1.1"]),
        ("C11.1@harness", "C11.1@harness", ["C11.1"]),
        ("C11.1@component", "C11.1@component", ["E1.1"]),
        ("S1.tell-tale", "S1.tell-tale", ["S1.2", "S1.3"]),
        ("2C", "wire 2C", ["C1.1", "SP1"]),
        ("wire 2C", "wire 2C", ["C1.1", "SP1"]),
        ("circuit 3", "circuit 3", None),
        ("chassis", "structure chassis", ["structure chassis"]),
        ("shell", "structure shell", ["structure shell"]),
        (" SP1 ", "SP1", ["SP1"]),
    ],
)
def test_what_a_name_stands_for(name: str, words: str, points: list[str] | None) -> None:
    graph = Graph(variant_of(LAMPS))
    found = find(graph, name)
    assert found.words == words
    if points is not None:
        assert [str(graph.points[node]) for node in found.nodes] == points


def test_a_half_of_a_cavity_is_one_node() -> None:
    graph = Graph(variant_of(LAMPS))
    halves = [find(graph, f"C1.1@{side}").nodes for side in ("body", "tail")]
    assert [graph.points[node].half for (node,) in halves] == [0, 1]
    assert {node for (node,) in halves} == set(find(graph, "C1.1").nodes)


def test_a_fuse_block_and_a_cable_are_what_is_in_them() -> None:
    text = """
    fuse-block FB1 { bus B1; fuse F1 5 A mini from B1; fuse F2 5 A mini from B1 }
    cable W1 { core 1 0.5 mm2 WH }
    ring-terminal E1
    circuit 1 { A  F1.2 -- E1  1 m  core W1.1 }
    """
    graph = Graph(variant_of(text))
    assert [str(graph.points[n]) for n in find(graph, "FB1").nodes] == ["B1", "F1.1", "F1.2", "F2.1", "F2.2"]
    assert [str(graph.points[n]) for n in find(graph, "W1").nodes] == ["F1.2", "E1.1"]


def test_an_item_comes_before_a_circuit_of_the_same_name() -> None:
    text = "splice 7\nring-terminal E1\ncircuit 7 1 mm2 RD { A  7 -- E1  1 m }"
    graph = Graph(variant_of(text))
    assert len(find(graph, "7").nodes) == 1
    assert len(find(graph, "circuit 7").nodes) == 2


@pytest.mark.parametrize(
    ("name", "near"),
    [
        ("SP11", "SP1"),
        ("E2.l", "E2.1"),
        ("S1.tel-tale", "S1.tell-tale"),
        ("C1.1@tial", "C1.1@tail"),
        ("RUNBUS", "RUN-BUS"),
        ("chasis", "chassis"),
        ("zzzz", ""),
        ("x" * 500, ""),
        ("", ""),
    ],
)
def test_a_name_that_stands_for_nothing(name: str, near: str) -> None:
    graph = Graph(variant_of(LAMPS))
    with pytest.raises(UnknownPlaceError) as raised:
        find(graph, name)
    assert raised.value.near == near
    assert (f"did you mean {near}?" in str(raised.value)) is bool(near)


def test_a_cavity_that_no_wire_reaches() -> None:
    with pytest.raises(UnknownPlaceError, match=r"no wire reaches C1\.3"):
        of(LAMPS, "C1.3")


def test_lengths_that_are_not_known() -> None:
    assert of(LAMPS.replace("S1.1   0.6 m", "S1.1"), "F1", "E1").length_m is None


def test_wires_are_those_of_the_model() -> None:
    variant: Variant = variant_of(LAMPS)
    found = trace(variant, Graph(variant), "BT1.+", "E1")
    assert all(isinstance(wire, Wire) and wire in variant.wires for wire in found.wires)
