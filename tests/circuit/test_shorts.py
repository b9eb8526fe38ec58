"""Supplies that wires alone join to ground, and which wire it is that does."""

from __future__ import annotations

import networkx as nx
import pytest

from compiler.circuit.feeds import Feeds
from compiler.circuit.graph import PLAIN, Graph
from compiler.circuit.shorts import Short, shorts
from compiler.model.items import Behaviour
from tests.circuit.build import LAMPS, as_networkx, chaos, feeds_of, sample


def short_of(text: str) -> Short:
    [found] = shorts(feeds_of(text))
    return found


def worst(text: str) -> str:
    wire = short_of(text).worst
    return wire.id if wire else ""


@pytest.mark.parametrize("name", ["S2", "S4", *range(0, 200, 20)])
def test_a_sound_variant_has_none(name: str | int) -> None:
    feeds = Feeds(Graph(chaos(name) if isinstance(name, int) else sample(name)))
    assert not list(shorts(feeds))
    plain = as_networkx(feeds.graph, PLAIN | {Behaviour.PROTECTION})
    assert not any(nx.has_path(plain, plus, minus) for plus in feeds.plus for minus in feeds.minus)


# Where a line is put in, the line, and the wire that is wrong.
FAULTS = {
    "a feed ends at a ground": ("A  F1.2  -- S1.1", "X  F1.2 -- G2  1 m", "2X"),
    "a bus is wired to a ground": ("B  FL1.2  -- RUN-BUS", "X  RUN-BUS -- G1  1 m", "1X"),
    # What hangs on the two splices tells that neither the feed's wire nor the ground's is the wrong one.
    "a feed splice is joined to a return splice": ("F  SP9   -- G3", "X  F1.2 -- SP9  1 m", "3X"),
    "before any fuse": ("A  BT1.- -- G1", "X  STUD1 -- G3  1 m", "3X"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_the_wire_that_joins_what_is_fed_to_what_is_grounded(fault: str) -> None:
    before, line, wire = FAULTS[fault]
    text = LAMPS.replace(
        "F  E2.2  -- G3     0.3 m  in tail", "F  SP9   -- G3  1 m  in tail\n  G  E2.2 -- SP9  1 m  in tail"
    )
    text = text.replace(before, f"{line}\n  {before}") + "splice SP9 in tail\n"
    assert text.count("  X  ") == 1
    found = short_of(text)
    assert found.worst is not None
    assert found.worst.id == wire
    assert found.worst in found.wires


def test_where_it_comes_in_and_goes_out() -> None:
    text = LAMPS.replace("A  F1.2  -- S1.1", "X  F1.2  -- G2  1 m\n  A  F1.2  -- S1.1")
    feeds = feeds_of(text)
    [found] = shorts(feeds)
    assert [str(feeds.graph.points[node]) for node in found.hot] == ["F1.2"]
    assert [str(feeds.graph.points[node]) for node in found.cold] == ["G2", "G1", "BT1.-"], "the nearest first"


def test_one_potential_is_one_short_however_many_wires_do_it() -> None:
    text = LAMPS.replace("A  F1.2  -- S1.1", "X  F1.2  -- G2  1 m\n  Y  F1.2  -- G3  1 m\n  A  F1.2  -- S1.1")
    assert worst(text) in ("2X", "2Y")


def test_a_battery_on_its_own_terminals() -> None:
    text = "battery BT1 12.6 V\ncircuit 1 25 mm2 RD { A  BT1.+ -- BT1.-  1 m }"
    assert worst(text) == "1A"


def test_a_contact_or_a_load_between_is_no_short() -> None:
    assert not list(shorts(feeds_of(LAMPS)))
    switched = LAMPS.replace("B  S1.2  -- C1.1", "X  S1.2  -- G2  1 m\n  B  S1.2  -- C1.1")
    assert not list(shorts(feeds_of(switched)))
