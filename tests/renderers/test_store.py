"""Results kept between runs: found whole or not at all, never in the way."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from renderers.sheets.dot import dot_program, run_dot
from renderers.sheets.remembered import program_digest, remembering
from renderers.store import Store, digest, usual_folder


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "kept")


def entries(store: Store) -> list[Path]:
    assert store.folder is not None
    return sorted(path for path in store.folder.rglob("*") if path.is_file())


def test_what_is_put_is_found(store: Store) -> None:
    key = digest(("a",))
    assert store.get(key) is None
    store.put(key, b"body")
    assert store.get(key) == b"body"
    assert store.made(key, lambda: b"other") == b"body"
    assert store.made(digest(("b",)), lambda: b"other") == b"other"
    assert store.get(digest(("b",))) == b"other"
    assert store.folder is not None
    assert store.folder.stat().st_mode & 0o077 == 0


def test_parts_of_a_key_do_not_run_together() -> None:
    names = {digest(parts) for parts in (("ab", "c"), ("a", "bc"), ("abc",), ("abc", ""), (), ("\udc80",))}
    assert len(names) == 6
    assert digest((b"ab",)) == digest(("ab",))


@pytest.mark.parametrize("harm", ["cut", "bit", "empty", "other", "folder"])
def test_an_entry_that_is_not_whole_is_made_anew(store: Store, harm: str) -> None:
    key, other = digest(("a",)), digest(("b",))
    store.put(key, b"body of a")
    store.put(other, b"body of b")
    path, another = (next(p for p in entries(store) if p.parent.name + p.name == name) for name in (key, other))
    data = path.read_bytes()
    if harm == "folder":
        path.unlink()
        path.mkdir()
    else:
        harmed = {"cut": data[:-3], "bit": data[:-1] + b"b", "empty": b"", "other": another.read_bytes()}
        path.write_bytes(harmed[harm])
    assert store.get(key) is None
    assert store.made(key, lambda: b"fresh") == b"fresh"
    assert store.get(key) == (None if harm == "folder" else b"fresh")
    assert store.get(other) == b"body of b"


def test_a_folder_that_cannot_be_written_is_done_without(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    store = Store(tmp_path / "file" / "kept")
    store.put(digest(("a",)), b"body")
    assert store.get(digest(("a",))) is None
    store.trim()
    none = Store(None)
    none.put(digest(("a",)), b"body")
    assert none.get(digest(("a",))) is None
    none.trim()


def test_what_was_not_used_for_longest_goes_first(tmp_path: Path) -> None:
    store = Store(tmp_path, limit=4000)
    keys = [digest((str(n),)) for n in range(5)]
    for age, key in enumerate(keys):
        store.put(key, bytes(1000))
        os.utime(tmp_path / key[:2] / key[2:], (1000 + age, 1000 + age))
    assert store.get(keys[0]) is not None  # used just now
    store.trim()
    assert [store.get(key) is not None for key in keys] == [True, False, False, True, True]


def test_only_a_run_that_kept_something_clears_away(tmp_path: Path) -> None:
    Store(tmp_path).put(digest(("a",)), bytes(5000))
    Store(tmp_path, limit=10).trim()
    assert Store(tmp_path).get(digest(("a",))) is not None


def test_what_is_no_entry_is_never_cleared_away(tmp_path: Path) -> None:
    """The folder may be any that `--cache` names: a project's, with texts in two languages."""
    texts = tmp_path / "de" / "Handbuch.txt"
    texts.parent.mkdir()
    texts.write_bytes(bytes(5000))
    store = Store(tmp_path, limit=10)
    store.put(digest(("a",)), bytes(5000))
    left = tmp_path / digest(("a",))[:2] / ".new-k1ll_ed"
    left.write_bytes(bytes(5000))
    store.trim()
    assert entries(store) == [texts]


def test_runs_side_by_side_never_see_half_an_entry(tmp_path: Path) -> None:
    code = """
import sys
from pathlib import Path
from renderers.store import Store, digest
store = Store(Path(sys.argv[1]), limit=200_000)
for turn in range(150):
    for n in range(4):
        body = bytes([int(sys.argv[2])]) * 30_000
        found = store.made(digest((str(n),)), lambda: body)
        assert len(found) == 30_000 and len(set(found)) == 1
        store.put(digest((str(n),)), body)
    store.trim()
"""
    runs = [subprocess.Popen([sys.executable, "-c", code, str(tmp_path), n]) for n in ("1", "2", "3")]
    assert [run.wait() for run in runs] == [0, 0, 0]
    assert not list(tmp_path.rglob(".new-*"))


def test_where_results_are_kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert usual_folder() == tmp_path / "loomwright"
    monkeypatch.setenv("XDG_CACHE_HOME", "relative")  # the specification: to be passed over
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    assert usual_folder() == tmp_path / "home" / ".cache" / "loomwright"


# -- answers of dot ----------------------------------------------------------------------------------------------------
def test_dot_is_asked_only_for_what_it_has_not_answered(store: Store) -> None:
    asked: list[str] = []

    def run(graphs: Sequence[str], program: str | None) -> tuple[str, ...]:
        asked.extend(graphs)
        return run_dot(graphs, program)

    graphs = [f"digraph {{ a -> {name} }}" for name in ("b", "c", "b", "d")]
    answer = remembering(store, run)
    assert answer(graphs[:2], None) == run_dot(graphs[:2])
    assert answer(graphs, None) == run_dot(graphs)
    assert remembering(store, run)(graphs, None) == run_dot(graphs)
    assert asked == [graphs[0], graphs[1], graphs[3]]
    assert answer([], None) == ()


def test_another_dot_program_answers_for_itself(store: Store, tmp_path: Path) -> None:
    program = tmp_path / "dot"
    program.write_text("#!/bin/sh\ncat > /dev/null\nprintf 'graph 1 2 3\\nstop\\n'\n")
    program.chmod(0o755)
    graph = ["digraph { a -> b }"]
    answer = remembering(store)
    assert answer(graph, None) == run_dot(graph)
    assert answer(graph, str(program)) == ("graph 1 2 3",)
    before = program_digest(str(program))
    program.write_text(program.read_text().replace("1 2 3", "4 5 6"))
    assert program_digest(str(program)) != before
    assert remembering(store)(graph, str(program)) == ("graph 4 5 6",)
    assert program_digest(None) != program_digest(dot_program()) != before
