"""The choice of the next test, against published half-split answers and exact dynamic programming."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, log2
from random import Random

import numpy as np
import pytest

from compiler.isolation.access import Access
from compiler.isolation.board import Alive, Board
from compiler.isolation.catalogue import Entry
from compiler.isolation.choose import Chooser
from compiler.isolation.policy import rules_of
from compiler.isolation.types import Complaint, Reading, Suspect
from compiler.isolation.types import Test as Step
from compiler.isolation.types import TestKind as Kind
from compiler.network.faults import Fault, FaultSort
from tests.isolation.vehicles import demo, lamps

NEVER = Reading(0, 0, "V", "")


def line(points: str, weights: Sequence[float] = ()) -> Board:
    """A line of equal stages between points, any one of which may be broken: behind the break nothing is read."""
    bench = lamps()
    stages = [f"{a}-{b}" for a, b in pairwise(points)]
    suspects = [
        Suspect(
            n,
            "wire-open",
            Fault(FaultSort.OPEN, stage),
            stage,
            -1,
            stage,
            f"{stage} open",
            "",
            (weights or [1.0] * 99)[n],
        )
        for n, stage in enumerate(stages)
    ]
    entries = []
    for place, point in enumerate(points[1:-1], 1):
        volts = np.asarray([12.0 if stage >= place else 0.0 for stage in range(len(stages))] + [12.0])
        test = Step(point, Kind.VOLTS, point, point, (), True, "", 1.0, 0.0, (), NEVER)
        entries.append(Entry(test, volts - 0.5, volts + 0.5, {}, ""))
    return Board(suspects, entries, Access(bench.network, bench.rules), rules_of({}))


def first(board: Board, alive: Alive) -> str:
    test = Chooser(board).next(alive, 0)
    assert test is not None
    return board.entries[test].test.id


def test_frame_9_check_the_midpoint_of_the_brackets() -> None:
    """US Army IT0338, half-split, frame 9: brackets at A and G, the check is at D (public text, grade A)."""
    assert first(line("ABCDEFG"), tuple(range(6))) == "D"


def test_frame_10_a_normal_check_moves_the_first_bracket() -> None:
    """US Army IT0338, half-split, frame 10: points A to I; E is normal, so the first bracket moves there and the next
    check is at G (public text, grade A; its figure not seen)."""
    board = line("ABCDEFGHI")
    assert first(board, tuple(range(8))) == "E"
    chooser = Chooser(board)
    test = chooser.next(tuple(range(8)), 0)
    assert test is not None
    normal = board.clusters(test, tuple(range(8)))[-1].members
    assert normal == (4, 5, 6, 7)
    assert first(board, normal) == "G"


@pytest.mark.parametrize(("suspects", "checks"), [(8, 3), (9, 4), (16, 4), (2, 1), (5, 3), (33, 6)])
def test_equal_suspects_take_log2_checks(suspects: int, checks: int) -> None:
    """ceil(log2 N) checks for N equal suspects (IT0338 states log2 N; 8 -> 3, 9 -> 4, 16 -> 4)."""
    board = line("".join(chr(65 + n) for n in range(suspects + 1)))
    assert ceil(log2(suspects)) == checks

    def most(alive: Alive) -> int:
        test = Chooser(board).next(alive, 0)
        return 0 if test is None else 1 + max(most(c.members) for c in board.clusters(test, alive))

    assert most(tuple(range(suspects))) == checks


def test_checks_outside_the_brackets_or_done_already_are_not_offered() -> None:
    """IT0338 refuses irrelevant checks (outside the brackets) and redundant ones (already known)."""
    board = line("ABCDEFGHI")
    useful = [board.entries[n].test.id for n in Chooser(board).useful((4, 5, 6, 7))]
    assert useful == ["F", "G", "H"]


def test_a_likely_suspect_draws_the_check_to_itself() -> None:
    board = line("ABCDEFGHI", [20, 1, 1, 1, 1, 1, 1, 1])
    assert first(board, tuple(range(8))) == "B"


def expected(chooser: Chooser, alive: Alive, opened: int) -> float:
    """Mean minutes of what a chooser does."""
    board, test = chooser.board, chooser.next(alive, opened)
    if test is None:
        return 0.0
    total = float(board.weight[list(alive)].sum())
    below = [
        float(board.weight[list(c.members)].sum()) / total * expected(chooser, c.members, opened | board.opens[test])
        for c in board.clusters(test, alive)
    ]
    return board.cost(test, opened) + sum(below)


def compared(complaints: Sequence[Complaint], sizes: Sequence[int]) -> tuple[float, float, float]:
    """Mean minutes of the exact order, of what is chosen, and of greedy choice alone, summed over candidates drawn from
    the complaints of the demo."""
    ours = greedy = exact = 0.0
    for complaint in complaints:
        board = demo().case(complaint).board
        everything = range(len(board.suspects))
        for size in sizes:
            if size > len(everything):
                continue
            alive = tuple(sorted(Random(f"{size} {complaint.id}").sample(everything, size)))
            best = Chooser(board, exact_groups=99).exact(alive, 0)[0]
            mine = expected(Chooser(board), alive, 0)
            assert best <= mine + 1e-9
            exact, ours = exact + best, ours + mine
            greedy += expected(Chooser(board, exact_groups=0), alive, 0)
    return exact, ours, greedy


def test_mean_cost_is_within_a_tenth_of_exact_dynamic_programming() -> None:
    exact, ours, greedy = compared(demo().source_complaints[:6], (8, 14))
    assert exact > 50
    assert ours <= 1.10 * exact
    assert ours <= greedy + 1e-9


@pytest.mark.campaign
def test_mean_cost_against_exact_dynamic_programming_for_every_complaint() -> None:
    exact, ours, greedy = compared(demo().source_complaints, (6, 8, 10, 12, 14))
    assert ours <= 1.10 * exact
    assert ours <= greedy + 1e-9


def test_the_exact_order_is_found_by_trying_all_of_them() -> None:
    board = line("ABCDE", [1, 2, 3, 4])

    def least(alive: Alive) -> float:
        if len(alive) == 1:
            return 0.0
        total = sum(board.weight[n] for n in alive)
        return min(
            1 + sum(sum(board.weight[n] for n in part) / total * least(part) for part in (alive[:cut], alive[cut:]))
            for cut in range(1, len(alive))
        )

    assert Chooser(board).exact((0, 1, 2, 3), 0)[0] == pytest.approx(least((0, 1, 2, 3)))
