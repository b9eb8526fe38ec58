"""Decision trees: the order of work, what they cover, what stands once."""

from __future__ import annotations

import pytest

from compiler.isolation.tree import tree
from compiler.isolation.types import TestKind as Kind
from compiler.isolation.types import Tree
from tests.isolation.vehicles import SCREEN, demo, lamps


def screen() -> Tree:
    return tree(demo(), demo().complaint(SCREEN))


def test_the_six_steps_in_their_order() -> None:
    """NEETS module 19 (NAVEDTRA 14191, public text, grade A): recognise the symptom, elaborate it, list the probable
    causes, localise, localise to the circuit, analyse: repair, and see that it works again."""
    found = screen()
    assert found.verify == "Set S1 to run, S21 to on. Is it so: S21.tell-tale lit, R3 dead?"
    assert found.related
    assert all(r.test.kind is Kind.LOOK for r in found.related)
    assert [g.share for g in found.groups] == sorted((g.share for g in found.groups), reverse=True)
    assert found.cleared
    leaves = [node for node in found.nodes if node.test is None]
    assert all(found.suspects[n].repair for node in leaves for n in node.suspects)


def test_every_suspect_is_at_the_end_of_some_way_and_every_way_ends() -> None:
    found = screen()
    reached: set[int] = set()

    def walk(number: int, above: frozenset[int]) -> None:
        assert number not in above
        node = found.nodes[number]
        assert node.number == number
        if node.test is None:
            reached.update(node.suspects)
        else:
            assert sum(a.share for a in node.answers) == pytest.approx(1)
            assert len(node.answers) > 1
        for answer in node.answers:
            walk(answer.node, above | {number})

    walk(0, frozenset())
    assert reached == set(range(len(found.suspects)))


def test_nodes_reached_in_several_ways_stand_once() -> None:
    found = screen()
    assert len({(n.key, n.suspects) for n in found.nodes if n.test is None}) == sum(
        1 for n in found.nodes if n.test is None
    )


def test_trees_that_share_a_part_share_its_key() -> None:
    ends = {n.key for n in tree(lamps(), lamps().complaint("E1-dead")).nodes}
    others = {n.key for n in tree(lamps(), lamps().complaint("E2-dead")).nodes}
    assert ends & others
    assert ends == {n.key for n in tree(lamps(), lamps().complaint("E1-dead")).nodes}


def test_figures_are_those_of_walking_the_tree() -> None:
    found = tree(lamps(), lamps().complaint("E1-dead"))

    def mean(number: int) -> float:
        node = found.nodes[number]
        return sum(a.share * mean(a.node) for a in node.answers) + node.minutes

    assert found.minutes[0] == pytest.approx(mean(0))
    assert found.tests[0] <= found.tests[1]
    assert found.minutes[0] <= found.minutes[1]


def test_a_complaint_that_nothing_explains_has_an_empty_tree() -> None:
    bench = lamps()
    found = tree(bench, bench.custom((("S1", "on"),), [("E2", ["lit"]), ("SP1", ["below", "1 V"])]))
    assert found.nodes == ()
    assert found.suspects == ()
