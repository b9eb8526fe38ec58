"""The heated rear screen stays cold, its tell-tale lit; one terminal has backed out of the tailgate hinge connector."""

from __future__ import annotations

from random import Random

import pytest

from compiler.isolation.search import Search
from compiler.isolation.types import TestKind as Kind
from tests.isolation.technician import isolate
from tests.isolation.vehicles import SCREEN, demo

HINGE = [f"terminal C40.{cavity} {half} side backed out" for cavity in ("7", "10") for half in ("body", "tailgate")]


def test_the_symptoms_alone_clear_fuse_switch_and_grounds_of_other_loads() -> None:
    search = Search.begin(demo(), demo().complaint(SCREEN))
    reasons = {cleared.part: cleared for cleared in search.cleared}
    for part in ("fuse F14", "contact S21 1-5", "ground G101", "ground G103", "fuse FM2"):
        assert reasons[part].by == "S21.tell-tale is lit"
        assert reasons[part].reason.endswith("that is whole.")
    assert "fuse F9" not in reasons
    assert set(HINGE) <= {suspect.says for suspect in search.suspects}


def test_the_first_steps_need_no_tool_and_then_the_least_dismantling() -> None:
    search = Search.begin(demo(), demo().complaint(SCREEN))
    while search.next is not None and search.next.test.kind is Kind.LOOK:
        assert search.next.test.access_min == 0
        search = search.answer(search.next.test.id, 0)
    first = search.next
    assert first is not None
    reachable = [c for c in search.choices if c.bits > 0.3]
    assert len(reachable) > 10
    assert first.minutes <= min(c.minutes for c in reachable) + 1
    assert demo().access.minutes("C40") > first.test.access_min


@pytest.mark.parametrize("says", HINGE)
def test_the_end_names_the_cavity_and_the_half(says: str) -> None:
    case = demo().case(demo().complaint(SCREEN))
    number = next(s.number for s in case.suspects if s.says == says)
    search, done, minutes = isolate(demo(), case, number, Random(says))
    assert [s.says for s in search.suspects] == [says]
    assert done[-1].kind is Kind.TERMINAL
    assert done[-1].item == "C40"
    assert len(done) <= 8
    assert minutes < 25


def test_related_symptoms_say_what_is_shared_and_what_each_answer_tells() -> None:
    search = Search.begin(demo(), demo().complaint(SCREEN))
    assert search.related
    for related in search.related:
        assert related.test.minutes + related.test.access_min < 2
        assert related.shares
        assert len(related.tells) > 1


def test_a_warm_mirror_clears_what_it_shares_with_the_screen() -> None:
    search = Search.begin(demo(), demo().complaint(SCREEN))
    mirror = next(r for r in search.related if "glass-heater" in r.test.place)
    assert mirror.shares[0] == "fuse FM4"
    after = search.answer(mirror.test.id, 1.0)
    reasons = {cleared.part: cleared.reason for cleared in after.cleared}
    assert reasons["contact K7 30-87"] == (
        "A7.glass-heater warms up, and its current runs through contact K7 30-87: that is whole."
    )
    assert {"fuse FM4", "coil K7 86-85"} <= reasons.keys()
    assert set(HINGE) <= {suspect.says for suspect in after.suspects}
