"""Every fault is planted, a simulated technician answers from the solved network, and the engine must end in the right
group: always, with the noise of a meter and readings that are off by nearly the whole tolerance."""

from __future__ import annotations

from math import ceil, log2
from random import Random

import numpy as np
import pytest

from compiler.isolation.bench import Bench
from compiler.isolation.types import Complaint
from loomwright.reports.isolated import standing
from loomwright.searches.desk import Desk
from tests.isolation.technician import ends_right, isolate
from tests.isolation.vehicles import demo, generated, lamps


def closed(bench: Bench, complaint: Complaint, most: int, seed: str) -> int:
    """Plant up to `most` of a complaint's suspects; how many searches were made."""
    case = bench.case(complaint)
    random = Random(f"{seed} {complaint.id}")
    numbers = list(range(len(case.suspects)))
    chosen = numbers if len(numbers) <= most else random.sample(numbers, most)
    for number in chosen:
        search, _, _ = isolate(bench, case, number, random)
        assert ends_right(case, search, number), (complaint.id, case.suspects[number].says, search.suspects)
    return len(chosen)


def test_two_lamps_all_faults_of_all_complaints() -> None:
    assert sum(closed(lamps(), c, 10_000, "all") for c in lamps().complaints()) > 100


def test_the_demo_a_sample() -> None:
    bench = demo()
    sampled = Random("demo").sample(bench.load_complaints, 5)
    done = [closed(bench, c, 3, "sample") for c in (*bench.source_complaints, *bench.codes, *sampled)]
    assert sum(done) > 50


@pytest.mark.parametrize("seed", range(3))
def test_generated_variants_a_sample(seed: int) -> None:
    bench = generated(seed, 50)
    complaints = Random(f"complaints {seed}").sample(bench.load_complaints, 4)
    assert sum(closed(bench, c, 5, f"{seed}") for c in complaints) > 5


def test_main_feeds_and_grounds_of_a_large_network(monkeypatch: pytest.MonkeyPatch) -> None:
    """The demo taken for a large network: faults that move relays far from what was complained of."""
    monkeypatch.setattr("compiler.isolation.bench._WHOLE", 0)
    bench = Bench(demo().network)
    always, of, rows = bench.network.always, bench.network.of, bench.network.branches
    done = 0
    for name in ("M5-dead", "E22-dead", "E12-dead", "A5.panel-lighting-right-weak", "Y6-weak", "HR1-dead"):
        case, random = bench.case(bench.complaint(name)), Random(f"large {name}")
        ends = [{of[rows[s.fault.branch].a], of[rows[s.fault.branch].b]} for s in case.suspects]
        main = [n for n, both in enumerate(ends) if both & (always.plus | always.metal)]
        for number in random.sample(main, min(len(main), 8)):
            search, _, _ = isolate(bench, case, number, random)
            assert ends_right(case, search, number), (name, case.suspects[number].says, search.suspects)
            done += 1
    assert done > 40


def test_shorts_whose_readings_overlap_in_a_chain_end_as_one_group() -> None:
    """Wires of the main feed, each a little further on: each reads nearly what the next does, the first and the last do
    not."""
    bench = demo()
    case = bench.case(bench.complaint("HR2-dead"))
    chained = 0
    for suspect in case.suspects:
        if suspect.kind == "wire-short" and suspect.item in ("1A", "1B", "4A", "6A", "250A", "255A", "360A"):
            search, _, _ = isolate(bench, case, suspect.number, Random(suspect.says))
            assert search.next is None
            assert ends_right(case, search, suspect.number), suspect.says
            (group,) = search.groups
            assert group.share == 1.0
            chained += group.chained
            if group.chained:
                left = [s.number for s in group.suspects]
                assert case.board.apart[np.ix_(left, left)].any()
                assert any("overlaps" in piece.text for line in standing(Desk(search)) for piece in line)
    assert chained > 0


@pytest.mark.campaign
def test_the_demo_every_fault_of_every_complaint() -> None:
    assert sum(closed(demo(), c, 10_000, "all") for c in demo().complaints()) > 10_000


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(200))
def test_generated_variants(seed: int) -> None:
    bench = generated(seed, 40)
    complaints = Random(f"complaints {seed}").sample(bench.load_complaints, 5)
    assert sum(closed(bench, c, 8, f"{seed}") for c in complaints) > 5


def test_tests_used_stay_near_the_entropy_bound_and_below_probing_along_the_path() -> None:
    """Mean tests against the entropy of the groups (no order of two-way tests does better), the largest number against
    ceil(log2 N) where all is equal; probing along the path from the source takes about half as many tests as groups."""
    bench = demo()
    for complaint in bench.source_complaints[:4]:
        case = bench.case(complaint)
        everything = tuple(range(len(case.suspects)))
        groups, bits = len(case.board.groups(everything)), case.board.entropy(everything)
        random = Random(complaint.id)
        numbers = random.choices(everything, [s.weight for s in case.suspects], k=12)
        mean = sum(len(isolate(bench, case, n, random)[1]) for n in numbers) / len(numbers)
        assert mean <= max(2 * bits, ceil(log2(groups)) + 1), complaint.title
        if groups > 12:
            assert mean < groups / 2
