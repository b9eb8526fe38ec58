"""Every fault is planted, a simulated technician answers from the solved network, and the engine must end in the right
group: always, with the noise of a meter and readings that are off by nearly the whole tolerance."""

from __future__ import annotations

from math import ceil, log2
from random import Random

import pytest

from compiler.isolation.bench import Bench
from compiler.isolation.types import Complaint
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
