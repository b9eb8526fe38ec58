"""The fault universe, the complaints, and which faults are one group."""

from __future__ import annotations

import pytest

from compiler.isolation.policy import IsolationError, rules_of
from compiler.isolation.search import Search
from compiler.isolation.suspects import suspects_of
from compiler.isolation.testability import testability as figures
from compiler.model.items import Behaviour
from compiler.network.faults import FaultSort
from tests.isolation.vehicles import demo, lamps

OPEN, HIGH, SHORT = FaultSort.OPEN, FaultSort.RESISTANCE, FaultSort.TO_GROUND


def universe() -> dict[tuple[str, int], set[FaultSort]]:
    """Part and branch -> what can be wrong with it, in the whole demo."""
    network = demo().network
    branches = range(len(network.branches))
    found: dict[tuple[str, int], set[FaultSort]] = {}
    for suspect in suspects_of(network, branches, demo().rules, dict.fromkeys(branches, 1.0), demo().guards):
        found.setdefault((suspect.part, suspect.fault.branch), set()).add(suspect.fault.sort)
    return found


def test_every_wire_cavity_half_splice_leg_fuse_ground_contact_coil_and_load_can_fail() -> None:
    network, variant, found = demo().network, demo().network.variant, universe()
    for wire in variant.wires:
        (branch,) = network.branches_of(wire)
        assert found[f"wire {wire.id}", branch] == {OPEN, HIGH, SHORT}
        for end in wire.ends:
            if end.point is not None and end.point.item in variant.splices:
                assert found[f"joint of wire {wire.id} in splice {end.point.item}", branch] == {OPEN, HIGH}
    for number, row in enumerate(network.branches):
        name = network.place(number)
        if row.role is Behaviour.CAVITY:
            place = name.removeprefix("cavity ")
            connector = variant.connectors[place.partition(".")[0]]
            for half in (0, 1):
                assert found[f"terminal {place} {connector.half_name(half)}", number] == {OPEN, HIGH}
        elif row.role is Behaviour.CONTACT and row.element.when:
            assert found[name, number] == {FaultSort.STUCK_OPEN, FaultSort.STUCK_CLOSED, HIGH}
        elif row.role in (Behaviour.PROTECTION, Behaviour.STRUCTURE, Behaviour.COIL, Behaviour.LOAD):
            assert found[name, number] == {OPEN, HIGH}, name


def test_every_suspect_has_words_and_a_repair() -> None:
    for suspect in demo().case(demo().source_complaints[0]).everything.suspects[:-1]:
        assert suspect.says.startswith(suspect.part)
        assert suspect.repair.endswith(".")
        assert suspect.item
        assert suspect.weight > 0


def test_connectors_and_grounds_come_before_sealed_wires() -> None:
    """Common practice, as the table of weights says."""
    rules = rules_of({})
    for likely in ("terminal-backed-out", "terminal-corroded", "ground-open", "ground-corroded"):
        assert rules("weight", likely) > rules("weight", "wire-open") >= rules("weight", "wire-resistance")


def test_a_project_sets_weights_and_limits() -> None:
    rules = rules_of({"fault-weights": {"wire-open": 7}, "fault-limits": {"group": 2}})
    assert rules("weight", "wire-open") == 7
    assert rules("limits", "group") == 2
    assert rules("weight", "wire-short") == rules_of({})("weight", "wire-short")


@pytest.mark.parametrize(
    ("policy", "message"),
    [
        ({"fault-weights": {"wire-opn": 1}}, "did you mean wire-open"),
        ({"fault-weights": {"wire-open": -1}}, "no number from 0 up"),
        ({"fault-weights": {"wire-open": "much"}}, "no number from 0 up"),
        ({"fault-weights": 3}, "a table of names and numbers"),
        ({"fault-limits": {"wire-open": 1}}, "there is no wire-open"),
    ],
)
def test_policies_that_cannot_be_used_are_refused(policy: dict[str, object], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        rules_of(policy)


def test_an_open_wire_and_its_open_joint_are_one_group() -> None:
    search = Search.begin(lamps(), lamps().complaint("Left lamp dark, right lamp lit"))
    groups = [set(group.parts) for group in search.groups]
    assert {"wire 1E", "joint of wire 1E in splice SP1"} in groups
    assert {"lamp E1"} in groups
    assert sum(group.share for group in search.groups) == pytest.approx(1)


def test_no_group_holds_two_parts_that_a_probe_tells_apart() -> None:
    for complaint in demo().source_complaints[:5]:
        board = demo().case(complaint).board
        for group in board.groups(tuple(range(len(board.suspects)))):
            for one in group:
                twins = [other for other in group if not board.apart[one, other]]
                same = [other for other in group if board.suspects[other].part == board.suspects[one].part]
                assert set(group) == set(twins) | set(same) or len(set(twins)) > 1


def test_four_complaints_for_a_load_with_settings_from_the_network() -> None:
    found = {c.id: c for c in lamps().load_complaints}
    assert set(found) == {f"{lamp}-{sort}" for lamp in ("E1", "E2") for sort in ("dead", "on", "weak", "fuse")}
    assert found["E1-dead"].settings == (("S1", "on"),)
    assert found["E1-on"].settings == ()
    assert found["E1-fuse"].observations[0].subject == "F1"
    assert {s.part for s in lamps().case(found["E1-on"]).suspects} == {"contact S1 1-2"}
    shorts = lamps().case(found["E1-fuse"]).suspects
    assert {s.part for s in shorts} == {"wire 1B", "wire 1C", "wire 1D", "wire 1E", "wire 1F"}
    assert {s.kind for s in lamps().case(found["E1-weak"]).suspects} >= {"terminal-corroded", "ground-corroded"}


def test_a_trouble_code_opens_a_search() -> None:
    assert lamps().complaint("B1") == lamps().complaint("b1") == lamps().complaint("code-b1")
    search = Search.begin(lamps(), lamps().complaint("code-b1"))
    parts = {s.part for s in search.suspects}
    assert {"wire 1A", "wire 1F", "terminal C1.1 body side"} <= parts
    assert not any(part.startswith(("wire 2", "ground")) for part in parts)
    assert not any(s.kind == "wire-short" for s in search.suspects)


def test_an_unknown_complaint_is_refused() -> None:
    with pytest.raises(IsolationError, match="did you mean E1-dead"):
        lamps().complaint("E1-ded")


def test_figures_of_testability() -> None:
    found = figures(demo(), demo().source_complaints)
    assert all(len(large.group.parts) > 4 for large in found.groups)
    assert {far.place for far in found.places} <= set(demo().network.variant.items)
    assert all(far.minutes > 15 for far in found.places)
