"""Running dot: one run for many graphs, the same answer every time, clear words when it cannot be run."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from renderers.sheets import DotError, draw_sheets
from renderers.sheets.dot import Asking, answered, dot_program, run_dot, together

from .conftest import ROOT, TOUR, drawn

GRAPH = "digraph {{ a -> {}; a -> c }}"


def test_graphs_run_together_are_answered_as_if_alone() -> None:
    graphs = [GRAPH.format("b"), GRAPH.format("c"), "digraph { x }"]
    assert run_dot(graphs) == tuple(run_dot([graph])[0] for graph in graphs)
    assert run_dot([]) == ()


def test_many_may_ask_side_by_side() -> None:
    def asker(name: str, times: int) -> Asking[list[str]]:
        got = []
        for _ in range(times):
            (answer,) = yield (f"digraph {{ {name} }}",)
            got.append(answer.splitlines()[1].split()[1])
        return got

    assert answered(together([asker("a", 1), asker("b", 3), asker("c", 0)])) == [["a"], ["b", "b", "b"], []]


def test_a_program_that_is_not_there_is_named() -> None:
    with pytest.raises(DotError, match="no-such-dot"):
        draw_sheets(drawn("tour").variant, "/nowhere/no-such-dot")


def test_a_program_that_is_not_dot_is_named(tmp_path: Path) -> None:
    false = tmp_path / "false-dot"
    false.write_text("#!/bin/sh\necho no graph for you >&2\nexit 3\n")
    false.chmod(0o755)
    with pytest.raises(DotError, match="no graph for you"):
        run_dot([GRAPH.format("b")], str(false))
    false.write_text("#!/bin/sh\ncat >/dev/null\necho graph 1 1 1\n")
    with pytest.raises(DotError, match="gave 0 graphs for 1"):
        run_dot([GRAPH.format("b")], str(false))


@pytest.mark.parametrize(
    ("answer", "said"),
    [("graph 1 1 1", "gives n0 no place"), ("node", "cannot be read: node"), ("node n0 here there", "cannot be read")],
)
def test_an_answer_that_is_none_is_told(tmp_path: Path, answer: str, said: str) -> None:
    false = tmp_path / "false-dot"
    false.write_text(f"#!/bin/sh\ngrep '^digraph' | while read -r one; do printf '{answer}\\nstop\\n'; done\n")
    false.chmod(0o755)
    with pytest.raises(DotError, match=said):
        draw_sheets(drawn("tour").variant, str(false))


def test_the_program_of_the_wheel_is_found_without_a_path(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    assert run_dot(["digraph { x }"], dot_program())[0].startswith("graph ")


SCRIPT = """
import hashlib, sys
sys.path.insert(0, {root!r})
from tests.sheets.conftest import TOUR, read
from renderers.sheets import draw_sheets
print(hashlib.sha256("".join(f.svg + f.dot for f in draw_sheets(read(TOUR)).values()).encode()).hexdigest())
"""


def test_two_runs_give_the_same_bytes_whatever_the_hash_seed() -> None:
    told = set()
    for seed in ("1", "2"):
        done = subprocess.run(
            [sys.executable, "-c", SCRIPT.format(root=str(ROOT))],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        )
        told.add(done.stdout.strip())
    assert len(told) == 1
    assert len(told.pop()) == 64
    assert TOUR.is_file()
