"""Looking only at the region of a complaint loses no fault that could explain it."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from compiler.isolation.bench import Bench
from compiler.isolation.case import ohms_of
from compiler.isolation.rows import Rows
from compiler.isolation.seen import could_be
from compiler.isolation.suspects import suspects_of
from compiler.isolation.types import Complaint
from tests.isolation.vehicles import demo, generated, lamps


def explaining(bench: Bench, complaint: Complaint) -> set[str]:
    """The faults of the whole variant that explain a complaint."""
    everywhere = range(len(bench.network.branches))
    ohm_of = ohms_of(bench.rules, bench.sound(complaint.settings), everywhere)
    suspects = suspects_of(bench.network, everywhere, bench.rules, ohm_of, bench.guards)
    rows = Rows(bench.ledger, suspects, complaint.settings)
    held = np.ones(rows.count, np.bool_)
    for observation in complaint.observations:
        held &= could_be(rows, observation, bench.rules)
    return {suspects[n].says for n in np.flatnonzero(held)}


def found(bench: Bench, complaint: Complaint) -> set[str]:
    return {suspect.says for suspect in bench.case(complaint).suspects}


def test_two_lamps() -> None:
    for complaint in (*lamps().source_complaints, *lamps().load_complaints):
        assert explaining(lamps(), complaint) == found(lamps(), complaint), complaint.title


@pytest.mark.parametrize("seed", range(2))
def test_generated_variants(seed: int) -> None:
    bench = generated(seed, 60)
    for complaint in Random(f"region {seed}").sample(bench.load_complaints, 6):
        assert explaining(bench, complaint) == found(bench, complaint), complaint.title


def test_the_demo() -> None:
    complaint = demo().source_complaints[5]
    assert explaining(demo(), complaint) == found(demo(), complaint)


@pytest.mark.parametrize("name", ["K12-weak", "M3-dead"])
def test_a_short_before_any_fuse_pulls_everything_down(name: str) -> None:
    complaint = demo().complaint(name)
    named = found(demo(), complaint)
    assert {f"wire {wire} shorted to ground" for wire in ("250A", "255A", "360A")} <= named
    assert explaining(demo(), complaint) == named


@pytest.mark.campaign
def test_the_demo_every_complaint() -> None:
    for complaint in (*demo().source_complaints, *Random("region").sample(demo().load_complaints, 60)):
        assert explaining(demo(), complaint) == found(demo(), complaint), complaint.title


# -- large networks: rows of resistances outside the region are drawn together -----------------------------------------
def in_parts(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> Bench:
    """Another bench of the same network, which takes it for a large one."""
    monkeypatch.setattr("compiler.isolation.bench._WHOLE", 0)
    return Bench(bench.network)


def assert_reads_the_same(large: Bench, complaint: Complaint) -> None:
    """Every place of the vehicle reads under every suspect what it reads in the whole network; tests are the same."""
    case = large.case(complaint)
    assert case.rows.ledger is not large.ledger
    assert case.rows.network.size < large.network.size
    whole = Rows(large.ledger, case.rows.suspects, complaint.settings)
    nodes = range(len(large.network.graph.points))
    for rows in (whole, case.rows):
        rows.look_up(complaint.settings, nodes)
    used = set(large.network.columns.a.tolist()) | set(large.network.columns.b.tolist())
    for node in nodes:
        if large.network.of[node] in used:
            one, other = case.rows.raw(complaint.settings, node), whole.raw(complaint.settings, node)
            assert np.allclose(one, other, atol=1e-6, equal_nan=True), (
                complaint.title,
                large.network.graph.points[node],
            )
    assert (case.rows.opened == whole.opened).all()


@pytest.mark.parametrize("seed", range(3))
def test_a_large_network_reads_what_the_whole_one_reads(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    large = in_parts(generated(seed, 60), monkeypatch)
    for complaint in Random(f"large {seed}").sample(large.load_complaints, 4):
        assert_reads_the_same(large, complaint)


@pytest.mark.parametrize("name", ["HR1-dead", "M5-dead", "A8.vertical-dead", "E12-weak"])
def test_the_demo_as_a_large_network(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Complaints whose suspects include main feeds and main grounds, which move relays all over the vehicle."""
    complaint = demo().complaint(name)
    other = Bench(demo().network).case(complaint)
    assert other.rows.network is demo().network
    large = in_parts(demo(), monkeypatch)
    assert_reads_the_same(large, complaint)
    one = large.case(complaint)
    assert [s.says for s in one.suspects] == [s.says for s in other.suspects]
    assert [e.test.id for e in one.entries] == [e.test.id for e in other.entries]
    for mine, theirs in zip(one.entries, other.entries, strict=True):
        # With the power off a leak at each place keeps the network solvable: fewer places, less of it.
        assert np.allclose(mine.low, theirs.low, rtol=1e-3, atol=1e-6), mine.test.id
        assert np.allclose(mine.high, theirs.high, rtol=1e-3, atol=1e-6), mine.test.id
