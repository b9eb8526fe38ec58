"""What a supply reaches, and what fuses protect."""

from __future__ import annotations

import networkx as nx
import pytest

from compiler.circuit.feeds import Feeds, Protection
from compiler.circuit.graph import Graph
from compiler.circuit.potentials import JOINED
from compiler.model.items import Behaviour, Wire
from tests.circuit.build import LAMPS, as_networkx, at, feeds_of
from tests.circuit.test_graph import VARIANTS, variant_named


def ids(protection: Protection) -> list[str]:
    return [wire.id for wire in protection.wires]


def by_id(feeds: Feeds) -> dict[str, Protection]:
    return {protection.device.id: protection for protection in feeds.protections}


def test_the_supply_is_the_battery_and_an_alternator_only_without_one() -> None:
    alternator = "alternator A1 B+ D+ case chassis 14 V 90 A\n"
    both = feeds_of(LAMPS + alternator)
    assert [str(both.graph.points[node]) for node in both.plus] == ["BT1.+"]
    assert [both.graph.inside[edge] for edge in both.alternators] == ["A1"]
    alone = feeds_of(alternator)
    assert [str(alone.graph.points[node]) for node in alone.plus] == ["A1.B+"]
    assert not feeds_of("lamp E1 1 2 5 W").has_source


def test_fed_and_grounded() -> None:
    feeds = feeds_of(LAMPS)
    of = feeds.potentials.of
    for name in ("F1.2", "S1.2", "SP1", "E2.1"):
        assert of[at(feeds.graph, name)] in feeds.fed_by
        assert of[at(feeds.graph, name)] not in feeds.grounded_by
    for name in ("E1.2", "E2.2", "S1.3", "G3", "BT1.-"):
        assert of[at(feeds.graph, name)] in feeds.grounded_by
        assert at(feeds.graph, name) in feeds.grounded.by
        assert of[at(feeds.graph, name)] not in feeds.fed_by


def test_what_is_fed_or_grounded_in_every_state() -> None:
    feeds = feeds_of(LAMPS)
    of = feeds.potentials.of
    assert of[at(feeds.graph, "S1.1")] in feeds.always_fed
    assert of[at(feeds.graph, "S1.2")] not in feeds.always_fed
    assert of[at(feeds.graph, "G3")] in feeds.always_grounded
    assert not feeds.shorted


@pytest.mark.parametrize("name", VARIANTS)
def test_unprotected_is_what_networkx_reaches_over_no_fuse(name: object) -> None:
    feeds = Feeds(Graph(variant_named(name)))
    plain = as_networkx(feeds.graph, JOINED | {Behaviour.CONTACT, Behaviour.DIODE, Behaviour.RESISTOR})
    grounded = {node for node in range(len(feeds.graph.points)) if feeds.potentials.of[node] in feeds.always_grounded}
    plain.remove_nodes_from(grounded)
    reached = {node for plus in feeds.plus for node in nx.descendants(plain, plus) | {plus}}
    assert set(feeds.unprotected.order) <= reached
    if not feeds.potentials.rivals:
        assert set(feeds.unprotected.order) == reached


@pytest.mark.parametrize("name", VARIANTS)
def test_a_fuse_protects_its_own_wires_and_no_wire_is_protected_and_unprotected(name: object) -> None:
    feeds = Feeds(Graph(variant_named(name)))
    joined = as_networkx(feeds.graph, JOINED)
    unprotected = {feeds.graph.owners[e] for n in feeds.unprotected.order for e in feeds.graph.around[n]}
    for protection in feeds.protections:
        load = nx.descendants(joined, protection.load) | {protection.load}
        own = {o for n in load for e in feeds.graph.around[n] if isinstance(o := feeds.graph.owners[e], Wire)}
        assert own <= set(protection.wires)
        assert set(protection.own.order) == load
        assert not unprotected & set(protection.wires)


def test_a_fuse_protects_beyond_contacts_up_to_the_next_fuse() -> None:
    feeds = feeds_of(LAMPS)
    assert ids(by_id(feeds)["F1"]) == ["2A", "2B", "2C", "2D", "2E"]
    assert ids(by_id(feeds)["FL1"]) == ["1B"]


def test_the_feed_side_is_where_the_current_comes_from() -> None:
    """An author may wire a fuse the other way round."""
    text = LAMPS.replace("F1.2  -- S1.1", "F7.1  -- S1.1") + (
        "fuse F7 5 A blade\ncircuit 9 1 mm2 RD in body { A  F1.2 -- F7.2  1 m }\n"
    )
    seven = by_id(feeds_of(text))["F7"]
    assert str(seven.graph.points[seven.feed]) == "F7.2"
    assert str(seven.graph.points[seven.load]) == "F7.1"
    assert ids(seven)[0] == "2A"


def test_a_fuse_on_a_bus_is_fed_by_the_bus_whatever_comes_from_behind() -> None:
    text = LAMPS.replace("B  FL1.2  -- RUN-BUS", "B  FL1.2  -- F1.2")
    one = by_id(feeds_of(text))["F1"]
    assert str(one.graph.points[one.feed]) == "F1.1"


def test_two_fuses_behind_a_changeover_protect_one_wire() -> None:
    text = """
    battery BT1 12.6 V
    bus B1
    fuse F1 10 A blade from B1
    fuse F2 5 A blade from B1
    relay K1 { coil 86 85 90 ohm; contact 30 87 when energised; contact 30 87a when at-rest }
    lamp E1 1 2 5 W
    circuit 1 1 mm2 RD {
      A  BT1.+  -- B1      1 m
      B  F1.2   -- K1.87   1 m
      C  F2.2   -- K1.87a  1 m
      D  K1.30  -- E1.1    1 m
    }
    """
    found = by_id(feeds_of(text))
    assert ids(found["F1"]) == ["1B", "1D"]
    assert ids(found["F2"]) == ["1C", "1D"]


def test_batteries_in_series_have_one_ground() -> None:
    feeds = feeds_of(
        """
        battery BT1 12 V
        battery BT2 12 V
        ground G1
        circuit 1 25 mm2 RD { A  BT1.- -- G1  1 m; B  BT1.+ -- BT2.-  1 m }
        """
    )
    assert [str(feeds.graph.points[node]) for node in feeds.ground_terminals] == ["BT1.-"]
    assert not feeds.shorted
