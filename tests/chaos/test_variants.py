"""Generated variants are what they say: repeatable, of the size asked for, and with nothing wrong in them."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from compiler.assembly.library import Library
from compiler.assembly.project import Project, Settings
from compiler.checks.run import check_variant
from grammar.parser import parse
from grammar.source import Source
from grammar.tree import Statement, Wire, walk
from tests.chaos.variants import make_variant

SEEDS = range(8)


def test_the_text_depends_on_seed_and_size_alone() -> None:
    assert make_variant(3, 200) == make_variant(3, 200)
    assert len({make_variant(seed, 50) for seed in SEEDS}) == len(SEEDS)


@pytest.mark.parametrize("wires", [1, 10, 300, 3_000])
def test_the_size_is_the_one_asked_for(wires: int) -> None:
    tree = parse(Source("t", make_variant(1, wires))).tree
    found = sum(isinstance(node, Wire) for node in walk(tree.lines))
    assert wires <= found <= wires + 30


@pytest.mark.parametrize("seed", SEEDS)
def test_every_cavity_has_two_sides_and_every_splice_three_wires(seed: int) -> None:
    parsed = parse(Source("t", make_variant(seed, 300)))
    assert parsed.findings == ()
    nodes = list(walk(parsed.tree.lines))
    inline = {
        node.values[0].text
        for node in nodes
        if isinstance(node, Statement) and node.rule == "connector" and node.clauses
    }
    splices = {node.values[0].text for node in nodes if isinstance(node, Statement) and node.rule == "splice"}
    ends = Counter(end.text for node in nodes if isinstance(node, Wire) for end in (node.a, node.b))
    cavities = [end for end in ends if end.rpartition(".")[0] in inline]
    assert len(inline) >= 3
    assert len(splices) > 10
    assert {ends[cavity] for cavity in cavities} == {2}
    assert min(ends[splice] for splice in splices) >= 3


@pytest.mark.parametrize("seed", SEEDS)
def test_the_checks_find_nothing(seed: int, tmp_path: Path) -> None:
    path = tmp_path / "generated.loom"
    path.write_text(make_variant(seed, 400), "utf-8")
    checked = check_variant(Library(Project(tmp_path, Settings())), path)
    assert checked.variant is not None
    assert [f"{finding.at} {finding.check}: {finding.says}" for finding in checked.findings] == []
