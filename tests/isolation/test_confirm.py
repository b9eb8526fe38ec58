"""The last test where one cause is left before any was done; what a short may have opened; repairs of merged causes."""

from __future__ import annotations

import pytest

from compiler.circuit.graph import Graph
from compiler.isolation.guards import Guards
from compiler.isolation.repairs import repairs
from compiler.isolation.search import Search
from compiler.isolation.tree import tree
from compiler.isolation.types import Confirmation, Suspect, TestKind
from compiler.network.faults import Fault, FaultSort
from tests.isolation.vehicles import LAMP, SCREEN, demo, lamps
from tests.network.circuits import variant_of


def confirmed(name: str) -> Confirmation:
    found = tree(demo(), demo().complaint(name))
    assert found.nodes[0].test is None
    assert found.confirm is not None
    assert found.tests == (1, 1)
    assert found.minutes[0] == found.confirm.test.minutes + found.confirm.test.access_min
    return found.confirm


def test_a_single_short_is_confirmed_by_ohms_with_both_ends_unplugged() -> None:
    """A wire that ends at a sensor and at a module: unplugged from both it reads open, shorted it reads nothing; what a
    probe and its leads add is a few tenths of an ohm (common practice)."""
    found = confirmed("code-e0117")
    assert found.test.kind is TestKind.OHMS
    assert not found.test.power
    assert "Unplug C212 and C202" in found.test.words
    assert found.test.sound.words == "open"
    assert found.faulty.holds(0.05)
    assert not found.faulty.holds(1.0)
    assert "inside" in found.otherwise


def test_shorts_of_wires_that_are_joined_are_confirmed_together() -> None:
    words = confirmed("A4.power-run-fuse").test.words
    assert "Unplug C204, take out F27, K21 and K22, and measure the resistance from C204.1" in words


def test_a_contact_that_does_not_open_is_confirmed_across_it_in_an_open_position() -> None:
    found = confirmed("E9.reverse-on")
    assert "Unplug S19, set it to forward and measure between its terminals 1 and 2" in found.test.words
    assert found.test.sound.words == "open"
    assert found.faulty.holds(0.05)


def test_an_output_that_stays_on_is_confirmed_by_volts() -> None:
    found = confirmed("Y20-on")
    assert found.test.unit == "V"
    assert found.faulty.low > found.test.sound.high


def test_every_confirmation_tells_the_fault_from_a_sound_vehicle() -> None:
    for bench in (lamps(), demo()):
        complaints = (*bench.source_complaints, *bench.codes, *(bench.load_complaints if bench is lamps() else ()))
        for complaint in complaints:
            search = Search.begin(bench, complaint)
            alone = bool(search.suspects) and search.next is None
            assert (search.confirmation is not None) == alone, complaint.id
            if search.confirmation:
                faulty, sound = search.confirmation.faulty, search.confirmation.test.sound
                assert faulty.words != sound.words
                assert faulty.high < sound.low or faulty.low > sound.high


def test_what_was_told_apart_by_tests_is_not_confirmed_again() -> None:
    search = Search.begin(demo(), demo().complaint(SCREEN))
    while search.next is not None:
        search = search.answer(search.next.test.id, 0)
    assert search.confirmation is None


# -- what a short may have opened --------------------------------------------------------------------------------------
def test_a_fuse_is_renewed_only_where_one_feeds_the_wire() -> None:
    guards = demo().guards
    assert guards("202A") == " Renew fuse F39 if it has opened."
    assert guards("226A") == ""  # the sensor line of a module, behind its own resistor
    own = Guards(Graph(variant_of(LAMP)))
    assert own("1A") == ""
    assert own("1E") == " Renew fuse F1 if it has opened."
    assert own("2A") == ""


def test_links_are_renewed_and_breakers_reset() -> None:
    text = LAMP.replace("fuse F1 10 A blade", "fusible-link FL1 1 mm2")
    assert Guards(Graph(variant_of(text.replace("F1.", "FL1."))))("1B") == " Renew fusible link FL1 if it has opened."
    text = LAMP.replace("fuse F1 10 A blade", "breaker CB1 10 A")
    assert Guards(Graph(variant_of(text.replace("F1.", "CB1."))))("1B") == " Reset breaker CB1 if it has opened."


# -- merged causes -----------------------------------------------------------------------------------------------------
def suspect(part: str, says: str, repair: str) -> Suspect:
    return Suspect(0, "", Fault(FaultSort.OPEN, part), "", -1, part, f"{part} {says}", repair, 1.0)


@pytest.mark.parametrize(
    ("suspects", "told"),
    [
        ([("wire 7A", "open", "Renew it."), ("wire 7A", "of high resistance", "Renew it.")], ("Renew it.",)),
        (
            [("fuse F1", "open", "Fit one."), ("fuse F1", "of high resistance", "Renew it.")],
            ("Open: fit one.", "Of high resistance: renew it."),
        ),
        (
            [("joint of wire 7A in splice SP1", "open", "Make it anew."), ("wire 7A", "open", "Renew it.")],
            ("Joint: make it anew.", "Wire: renew it."),
        ),
        (
            [("wire 7A", "shorted to ground", "Mend it."), ("wire 8A", "shorted to ground", "Renew it.")],
            ("Wire 7A: mend it.", "Wire 8A: renew it."),
        ),
        (
            [("fuse F1", "open", "Fit one."), ("fuse F1", "weak", "Renew it."), ("wire 7A", "open", "Join it.")],
            ("Fuse F1 open: fit one.", "Fuse F1 weak: renew it.", "Wire 7A open: join it."),
        ),
    ],
)
def test_each_repair_of_a_merged_cause_says_what_it_is_for(
    suspects: list[tuple[str, str, str]], told: tuple[str, ...]
) -> None:
    assert repairs(suspect(*one) for one in suspects) == told


def test_a_wire_has_one_repair_whether_open_or_of_high_resistance() -> None:
    suspects = demo().case(demo().complaint(SCREEN)).everything.suspects[:-1]
    by_wire: dict[str, set[str]] = {}
    for one in suspects:
        if one.kind in ("wire-open", "wire-resistance"):
            by_wire.setdefault(one.part, set()).add(one.repair)
    assert by_wire
    assert all(len(found) == 1 for found in by_wire.values())
