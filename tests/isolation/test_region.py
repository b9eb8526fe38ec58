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
    ohm_of = ohms_of(bench, complaint.settings, everywhere)
    suspects = suspects_of(bench.network, everywhere, bench.rules, ohm_of)
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


@pytest.mark.campaign
def test_the_demo_every_complaint() -> None:
    for complaint in (*demo().source_complaints, *Random("region").sample(demo().load_complaints, 60)):
        assert explaining(demo(), complaint) == found(demo(), complaint), complaint.title


@pytest.mark.parametrize("seed", range(2))
def test_a_corner_reads_what_the_whole_network_reads(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Large networks are reckoned with corner by corner; what the rest draws stands in as resistances."""
    monkeypatch.setattr("compiler.isolation.bench._WHOLE", 0)
    bench = generated(seed, 60)
    for complaint in Random(f"corner {seed}").sample(bench.load_complaints, 4):
        case = bench.case(complaint)
        whole = Rows(bench.ledger, case.rows.suspects, complaint.settings)
        assert case.rows.ledger is not bench.ledger
        for number in case.region:
            for node in (bench.network.branches[number].a, bench.network.branches[number].b):
                found = case.rows.volts(complaint.settings, node)
                assert np.abs(found - whole.volts(complaint.settings, node)).max() < 0.05, complaint.title
