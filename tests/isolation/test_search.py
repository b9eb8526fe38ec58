"""A search step by step: observing, answering, refusing, going back, saving; what contradicts, and pairs of faults."""

from __future__ import annotations

import json
from typing import Any

import pytest

from compiler.isolation.policy import IsolationError
from compiler.isolation.search import Search
from compiler.isolation.types import Observation
from compiler.network.places import PlaceError
from tests.isolation.vehicles import lamps

ON = (("S1", "on"),)


def begun(*seen: tuple[str, str]) -> Search:
    bench = lamps()
    return Search.begin(bench, bench.custom(ON, [(subject, words.split(" ", 1)) for subject, words in seen]))


def parts(search: Search) -> set[str]:
    return {suspect.part for suspect in search.suspects}


def test_a_lamp_that_shares_the_feed_clears_it() -> None:
    alone = begun(("E1", "out"))
    assert {"fuse F1", "contact S1 1-2", "wire 1C", "lamp E1", "ground G2"} <= parts(alone)
    with_other = begun(("E1", "out"), ("E2", "lit"))
    left = {"wire 1E", "joint of wire 1E in splice SP1", "lamp E1", "wire 2A", "ground G2"}
    assert parts(with_other) == left | {"ground G1"}  # the battery's own ground: E2 returns on its stud
    reasons = [cleared.reason for cleared in with_other.cleared]
    assert "E2 is lit, and its current runs through fuse F1: that is whole." in reasons
    assert "E2 is lit, and its current runs through contact S1 1-2: that is whole." in reasons


def test_what_was_seen_later_counts_as_what_was_seen_first() -> None:
    later = begun(("E1", "out")).observe(Observation(ON, "E2", ("lit",)))
    assert parts(later) == parts(begun(("E1", "out"), ("E2", "lit")))


def test_a_reading_anywhere_counts() -> None:
    search = begun(("E1", "out")).observe(Observation(ON, "SP1", ("above", "11 V")))
    assert "wire 1C" not in parts(search)
    assert "wire 1E" in parts(search)
    other = search.observe(Observation(ON, "C1.1 tail side", ("above", "11 V")))
    assert parts(other) == parts(search)


def test_a_reading_may_be_given_in_place_of_an_answer() -> None:
    search = begun(("E1", "out"))
    by_outcome = search.answer("volts SP1", 0)
    assert parts(search.answer("volts SP1", 12.4)) == parts(by_outcome)


def test_a_joint_that_is_worse_or_better_than_reckoned_is_not_cleared() -> None:
    search = begun(("E1", "weak"))
    corroded = "terminal C1.1 body side corroded or loose"
    for volts in (2.0, 6.3, 9.0):
        left = search.answer("volts C1.1 tail side", volts)
        assert corroded in {suspect.says for suspect in left.suspects}, volts
    assert corroded not in {s.says for s in search.answer("volts C1.1 tail side", 12.4).suspects}


def test_a_refused_test_is_not_offered_again() -> None:
    search = begun(("E1", "out"))
    while (choice := search.next) is not None:
        again = search.refuse(choice.test.id)
        assert again.alive == search.alive
        assert choice.test.id not in {c.test.id for c in again.choices}
        search = again
    assert len(search.events) > 5


def test_undo_goes_back_one_step_and_no_further_than_the_beginning() -> None:
    start = begun(("E1", "out"))
    assert start.next is not None
    after = start.answer(start.next.test.id, 0)
    assert after.undo().alive == start.alive
    assert after.undo().events == ()
    assert start.undo().alive == start.alive


def test_a_search_is_saved_and_resumed() -> None:
    search = begun(("E1", "out"))
    search = search.observe(Observation(ON, "E2", ("out",))).refuse("fuse F1").answer("volts C1.1 body side", 0.0)
    again = Search.resumed(lamps(), json.loads(json.dumps(search.as_json())))
    assert again.events == search.events
    assert again.alive == search.alive
    assert again.next == search.next


@pytest.mark.parametrize(
    "data",
    [{}, {"id": 1}, {"set": 3, "seen": []}, {"set": [], "seen": [{"subject": "E1"}], "faults": []}],
)
def test_a_spoilt_save_is_refused(data: dict[str, Any]) -> None:
    with pytest.raises(IsolationError, match="no search that can be gone on with"):
        Search.resumed(lamps(), data)


@pytest.mark.parametrize(
    ("event", "message"),
    [
        ({"kind": "answer", "what": "volts Z9", "words": ["1"], "set": []}, "there is no test volts Z9"),
        ({"kind": "answer", "what": "volts SP1", "words": ["much"], "set": []}, "much is no reading"),
        ({"kind": "sing", "what": "volts SP1", "words": [], "set": []}, "sing is no step"),
    ],
)
def test_a_save_with_a_step_that_cannot_be_is_refused(event: dict[str, Any], message: str) -> None:
    data = {**begun(("E1", "out")).as_json(), "events": [event]}
    with pytest.raises(IsolationError, match=message):
        Search.resumed(lamps(), data)


@pytest.mark.parametrize(
    ("subject", "words", "message"),
    [
        ("E1", "purple", "nothing that can be seen"),
        ("E1", "above 3 kg", "not a quantity"),
        ("E1", "between 3 V", "takes two readings"),
        ("E1", "above 2 m", "a reading is in volts"),
        ("SP1", "above 2 A", "no current runs"),
        ("E1", "opens", "is no fuse"),
    ],
)
def test_what_cannot_be_seen_is_refused(subject: str, words: str, message: str) -> None:
    with pytest.raises(IsolationError, match=message):
        begun((subject, words))


def test_a_place_that_is_not_there_is_refused() -> None:
    with pytest.raises(PlaceError, match="there is no E7"):
        begun(("E7", "out"))


def test_an_answer_that_a_test_does_not_have_is_refused() -> None:
    with pytest.raises(IsolationError, match="has no answer 9"):
        begun(("E1", "out")).answer("volts SP1", 8)


def test_a_contradiction_names_the_smallest_set() -> None:
    search = begun(("E1", "out"), ("E2", "lit"), ("SP1", "below 1 V"), ("F1.2", "above 11 V"))
    assert search.alive == ()
    assert search.next is None
    assert search.conflict is not None
    assert search.conflict.seen == ("E2 lit", "SP1 below 1 V")
    assert search.pairs == ()


def test_an_answer_that_contradicts_the_complaint_is_told_with_it() -> None:
    search = begun(("E1", "out"), ("E2", "lit")).observe(Observation(ON, "SP1", ("below", "1 V")))
    assert search.conflict is not None
    assert search.conflict.seen == ("E1 out, E2 lit", "SP1 below 1 V")


def test_two_faults_are_told_as_a_pair() -> None:
    """Both lamps dark although their common feed is live at the splice: one fault in each branch."""
    search = begun(("E1", "out"), ("E2", "out"), ("SP1", "above 11 V"), ("G1", "below 1 V"))
    assert search.alive == ()
    assert search.conflict is not None
    pairs = {frozenset((p.first.part, p.second.part)) for p in search.pairs}
    assert frozenset(("lamp E1", "lamp E2")) in pairs
    assert search.pairs[0].share == max(p.share for p in search.pairs)
    assert sum(p.share for p in search.pairs) == pytest.approx(1)
    first = {"lamp E1", "wire 1E", "wire 2A", "ground G1", "ground G2", "joint of wire 1E in splice SP1"}
    for pair in search.pairs:
        assert len({pair.first.part, pair.second.part} & first) == 1


def test_faults_that_change_nothing_are_all_that_nothing_amiss_leaves() -> None:
    search = begun(("E1", "lit"), ("E2", "lit"))
    assert {s.kind for s in search.suspects} == {"contact-stuck-closed", "wire-short"}


def test_ohms_seen_with_the_power_off() -> None:
    assert [s.says for s in begun(("S1", "above 1000 ohm")).suspects] == ["contact S1 1-2 does not close"]
