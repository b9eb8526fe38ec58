"""From a text to its variant, graph and feeds, and the same graph for networkx, which knows nothing of ours."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import networkx as nx

from compiler.assembly.assemble import assemble
from compiler.assembly.library import Library
from compiler.assembly.project import Project, Settings, find_project
from compiler.circuit.feeds import Feeds
from compiler.circuit.graph import Graph
from compiler.model.items import Behaviour, Point
from compiler.model.variant import Variant
from tests.chaos.variants import make_variant

SAMPLES = Path(__file__).parents[2] / "samples" / "sandpiper"
_HERE = Path("circuit.loom")

# A lamp circuit with everything in it: link, bus, fuse, switch, splice, in-line connector, component connector, metal.
LAMPS = """
harness body "Body"
harness tail "Tail"
structure shell "Body shell"
battery BT1 "Battery" 12.6 V 60 Ah
ground G1 "Battery ground" on chassis
ground G2 "Strap" on shell
ground G3 "Tail ground" on shell
bus STUD1 "Post"
fusible-link FL1 "Main" 1.5 mm2 0.15 m from STUD1
bus RUN-BUS "Run bus"
fuse F1 "Tail lamps" 10 A blade from RUN-BUS
switch S1 "Lamp switch" { positions off on; contact 1 2 when on; lamp 2 3 1.2 W "tell-tale" }
splice SP1 "Tail lamps" in tail
connector C1 "Tail in-line" 3 cavities body -- tail { spare 3 }
lamp E1 "Left" 1 2 5 W { connector C11 2 cavities }
lamp E2 "Right" 1 2 5 W
circuit 1 16 mm2 RD in body {
  A  BT1.+  -- STUD1    0.4 m    allow unfused-feed "battery cable"
  B  FL1.2  -- RUN-BUS  4 mm2  1.2 m
}
circuit 2 1 mm2 BN in body {
  A  F1.2  -- S1.1   0.6 m
  B  S1.2  -- C1.1   1.5 m
  C  C1.1  -- SP1    0.5 m  in tail
  D  SP1   -- E1.1   0.3 m  in tail
  E  SP1   -- E2.1   0.9 m  in tail
}
circuit 3 1 mm2 BK in body {
  A  BT1.- -- G1     16 mm2  0.4 m
  B  G1    -- G2     16 mm2  0.8 m
  C  S1.3  -- G2     0.3 m
  D  E1.2  -- C1.2   0.4 m  in tail
  E  C1.2  -- G3     0.3 m
  F  E2.2  -- G3     0.3 m  in tail
}
"""


def variant_of(text: str) -> Variant:
    """The model of a text; a `variant` statement is put in front if it has none. Reading must find nothing wrong."""
    if not text.lstrip().startswith("variant"):
        text = f"variant T\n{text}"
    done = assemble(Library(Project(Path.cwd(), Settings())).with_texts({_HERE: text}), _HERE)
    assert [finding.says for finding in done.findings] == []
    assert done.variant is not None
    return done.variant


def feeds_of(text: str) -> Feeds:
    return Feeds(Graph(variant_of(text)))


def chaos(seed: int, wires: int = 60) -> Variant:
    return variant_of(make_variant(seed, wires))


def sample(name: str) -> Variant:
    path = SAMPLES / f"{name}.loom"
    variant = assemble(Library(find_project(path)), path).variant
    assert variant is not None
    return variant


def at(graph: Graph, name: str, half: int = 0) -> int:
    """The node of `K7.87`, `SP1`, `C1.1`."""
    item, dot, terminal = name.rpartition(".")
    return graph.index[Point(item, terminal, half) if dot else Point(name, "", half)]


def as_networkx(graph: Graph, passes: Iterable[Behaviour]) -> nx.MultiDiGraph:
    """The edges of some behaviours, diodes and drivers one way, all others both ways."""
    passed = set(passes)
    out: nx.MultiDiGraph = nx.MultiDiGraph()
    out.add_nodes_from(range(len(graph.points)))
    for number, edge in enumerate(graph.edges):
        if edge.behaviour in passed:
            out.add_edge(edge.a, edge.b, key=number)
            if edge.behaviour not in (Behaviour.DIODE, Behaviour.DRIVER):
                out.add_edge(edge.b, edge.a, key=number)
    return out
