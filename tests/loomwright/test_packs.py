"""Packs of several variants in one call; a pack is never half there, whatever ends the run."""

from __future__ import annotations

import os
import random
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Mapping
from pathlib import Path

import pytest

from renderers.swap import LIST_NAME
from tests.loomwright.conftest import CLEAN, FRAGMENT, Make, Run, variant

SOON = ("--formats", "html,csv,json")


def read(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


@pytest.fixture
def line(make: Make) -> Path:
    """Four variants of one fragment: S4 has an error, S5 names a fragment that is not there."""
    broken = CLEAN.replace("  B  C40.1 -- E2     1 m  in tailgate\n", "")
    return make(
        {
            "loomwright.toml": '[project]\nname = "Trucks"\n',
            "shared/body.loom": FRAGMENT,
            "S1.loom": variant("S1", CLEAN),
            "S2.loom": variant("S2", CLEAN),
            "S4.loom": variant("S4", broken),
            "more/S10.loom": variant("S10", CLEAN).replace("shared", "../shared"),
        }
    )


# -- several variants --------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("jobs", ["1", "3"])
def test_a_folder_of_variants(line: Path, run: Run, jobs: str) -> None:
    done = run("publish", ".", "--out", "build", *SOON, "--jobs", jobs, cwd=line)
    assert (done.returncode, done.stdout) == (1, "")
    outcomes = [row for row in done.stderr.splitlines() if " files in " in row or "not published" in row]
    assert [row.partition(" ")[0] for row in outcomes] == ["S1:", "S2:", "S4", "S10:"]
    assert "dangling-cavity" in done.stderr
    assert sorted(path.name for path in (line / "build").iterdir()) == ["S1", "S10", "S2"]
    alone = run("publish", "more/S10.loom", "--out", "alone", *SOON, "--no-cache", cwd=line)
    assert alone.returncode == 0
    assert read(line / "alone") == read(line / "build/S10")


@pytest.mark.parametrize("out", ["loop", "loop/S1"])
def test_a_link_that_leads_to_itself_is_told(line: Path, run: Run, out: str) -> None:
    (line / "loop").symlink_to("loop")
    done = run("publish", "S1.loom", "--out", out, *SOON, cwd=line)
    assert (done.returncode, done.stderr.count("\n")) == (2, 1)
    assert "too many levels of symbolic links" in done.stderr


def test_what_cannot_be_published_does_not_stop_the_others(line: Path, run: Run) -> None:
    (line / "build/S2").mkdir(parents=True)
    (line / "build/S2/thesis.txt").write_text("years of work")
    done = run("publish", "S1.loom", "S2.loom", "--out", "build", *SOON, cwd=line)
    assert done.returncode == 2
    first, second = done.stderr.splitlines()
    assert first.startswith("S1: ")
    assert "S2.loom: " in second
    assert "is not a pack" in second
    assert (line / "build/S1/index.html").exists()
    assert [path.name for path in (line / "build/S2").iterdir()] == ["thesis.txt"]


def test_two_variants_of_one_name_are_refused_before_any_work(line: Path, run: Run) -> None:
    (line / "copy.loom").write_text(variant("s1", CLEAN))
    done = run("publish", ".", "--out", "build", *SOON, cwd=line)
    assert done.returncode == 2
    assert "S1.loom and copy.loom would both be published in build/s1" in done.stderr
    assert not (line / "build").exists()


def test_a_folder_without_a_variant(line: Path, run: Run) -> None:
    done = run("publish", "shared", "--out", "build", cwd=line)
    assert done.returncode == 2
    assert "shared: no variant there" in done.stderr


def test_a_second_run_finds_all_up_to_date_and_an_edit_touches_one(line: Path, run: Run) -> None:
    arguments = ("publish", "S1.loom", "S2.loom", "--out", "build", *SOON)
    assert run(*arguments, cwd=line).returncode == 0
    again = run(*arguments, cwd=line)
    assert again.stderr.count("up to date") == 2
    (line / "S2.loom").write_text(variant("S2", CLEAN.replace("BK/WH", "BK/YE")))
    edited = run(*arguments, cwd=line)
    assert [("up to date" in row) for row in edited.stderr.splitlines()] == [True, False]
    fresh = run("publish", "S2.loom", "--out", "fresh", "--no-cache", *SOON, cwd=line)
    assert fresh.returncode == 0
    assert read(line / "fresh") == read(line / "build/S2")


def test_nothing_is_kept_where_that_is_not_wanted(line: Path, run: Run, tmp_path: Path) -> None:
    run("publish", "S1.loom", "--out", "a", "--no-cache", *SOON, cwd=line)
    assert not (tmp_path / ".cache").exists()
    run("publish", "S1.loom", "--out", "b", "--cache", "kept", *SOON, cwd=line)
    assert not (tmp_path / ".cache").exists()
    assert any((line / "kept").iterdir())
    assert read(line / "a") == read(line / "b")


def test_a_part_with_pictures_graphs_and_a_date(line: Path, run: Run) -> None:
    wishes = ("--sheets", "1", "--sections", "wires", "--png", "36", "--dot-files", "--date", "2027-03-01")
    done = run("publish", "S1.loom", "--out", "a", "--formats", "json", *wishes, cwd=line)
    assert done.returncode == 0
    files = read(line / "a")
    assert {"png/1.png", "dot/1.dot", "pack.json"} <= set(files)
    assert b'"2027-03-01"' in files["pack.json"]
    wrong = run("publish", "S1.loom", "--out", "a", "--sheets", "7", cwd=line)
    assert (wrong.returncode, wrong.stderr.count("\n")) == (2, 1)
    assert "no sheet '7'" in wrong.stderr
    assert read(line / "a") == files


def test_one_pack_of_several(line: Path, run: Run) -> None:
    done = run("publish", "S1.loom", "S2.loom", "--out", "all", "--combined", *SOON, cwd=line)
    assert done.returncode == 0
    assert done.stderr.startswith("S1, S2: ")
    assert {"index.html", "S1/index.html", "S2/index.html"} <= set(read(line / "all"))
    before = read(line / "all")
    broken = run("publish", ".", "--out", "all", "--combined", *SOON, cwd=line)
    assert broken.returncode == 1
    assert "S4 is not published" in broken.stderr
    assert read(line / "all") == before
    refused = run("publish", ".", "--out", "all", "--combined", "--since", "all", cwd=line)
    assert (refused.returncode, refused.stderr.count("\n")) == (2, 1)


# -- whatever ends a run -----------------------------------------------------------------------------------------------
def start(
    folder: Path, root: Path, source: str, *more: str, code: str = "", group: bool = False
) -> subprocess.Popen[bytes]:
    """A publish of `source` into `pack`, running; `code` is run first in its process, which may lead a group of its own."""
    environment = {"PATH": os.environ["PATH"], "PYTHONPATH": str(root), "HOME": str(folder), "LC_ALL": "C.UTF-8"}
    arguments = ["publish", source, "--out", "pack", *more]
    program = f"{code}\nfrom loomwright.cli import main\nmain({arguments!r})"
    return subprocess.Popen(
        [sys.executable, "-c", program], cwd=folder, env=environment, stderr=subprocess.PIPE, start_new_session=group
    )


def ended(run: subprocess.Popen[bytes]) -> tuple[int, str]:
    _, said = run.communicate(timeout=120)
    return run.returncode, said.decode()


def kill_at_random_moments(folder: Path, root: Path, times: int, seed: int) -> None:
    wanted: dict[str, Mapping[str, bytes]] = {}
    spans: list[float] = []
    for name in ("S1", "S2"):
        started = time.monotonic()
        assert ended(start(folder, root, f"{name}.loom", "--no-cache", *SOON))[0] == 0
        spans.append(time.monotonic() - started)
        wanted[name] = read(folder / "pack")
    moments = random.Random(seed)
    seen: set[str] = set()
    for turn in range(times):
        # A run that found all it needs spends most of its time on writing and swapping.
        kept = "--no-cache" if turn % 2 else "--cache=kept"
        run = start(folder, root, f"{('S1', 'S2')[turn % 4 // 2]}.loom", kept, *SOON)
        time.sleep(moments.uniform(0.2, 1.1) * max(spans))
        run.send_signal(signal.SIGKILL)
        ended(run)
        held = read(folder / "pack")
        (name,) = [name for name, files in wanted.items() if files == held]
        seen.add(name)
    assert ended(start(folder, root, "S1.loom", "--cache=kept", *SOON))[0] == 0
    assert read(folder / "pack") == wanted["S1"]


def test_killed_at_any_moment_the_old_pack_stands_or_the_new_one(line: Path, root: Path) -> None:
    kill_at_random_moments(line, root, 4, 1)


@pytest.mark.campaign
def test_killed_a_hundred_times(line: Path, root: Path) -> None:
    kill_at_random_moments(line, root, 100, 2)


def test_two_runs_at_once_leave_one_whole_pack(line: Path, root: Path) -> None:
    wanted = []
    for name in ("S1", "S2"):
        assert ended(start(line, root, f"{name}.loom", *SOON))[0] == 0
        wanted.append(read(line / "pack"))
    runs = [start(line, root, f"{name}.loom", "--no-cache", *SOON) for name in ("S1", "S2", "S1")]
    assert [ended(run)[0] for run in runs] == [0, 0, 0]
    assert read(line / "pack") in wanted
    assert [path.name for path in line.iterdir() if path.name.startswith(".pack")] == []


FULL = """
import errno, os
room = 60_000
real = os.fsync
def fsync(handle):
    global room
    room -= os.fstat(handle).st_size
    if room < 0:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    real(handle)
os.fsync = fsync
"""


def test_a_full_disk_is_one_line_and_the_old_pack_stands(line: Path, root: Path) -> None:
    assert ended(start(line, root, "S1.loom", *SOON))[0] == 0
    before = read(line / "pack")
    for kept in ("--no-cache", "--cache=kept"):
        code, said = ended(start(line, root, "S2.loom", kept, *SOON, code=FULL))
        assert (code, said.count("\n")) == (2, 1)
        assert "pack: no space left on device" in said.lower()
        assert read(line / "pack") == before
    assert sorted(path.name for path in line.iterdir() if path.name.startswith(".pack")) == []


def test_a_limit_on_file_size_is_one_line_and_the_old_pack_stands(line: Path, root: Path) -> None:
    assert ended(start(line, root, "S1.loom", *SOON))[0] == 0
    before = read(line / "pack")
    limit = f"import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (30_000, {resource.RLIM_INFINITY}))"
    code, said = ended(start(line, root, "S2.loom", *SOON, code=limit))
    assert (code, said.count("\n")) == (2, 1)
    assert "file too large" in said.lower()
    assert read(line / "pack") == before
    assert LIST_NAME in before


def test_an_interrupt_leaves_nothing_behind(line: Path, root: Path) -> None:
    run = start(line, root, "S1.loom", "--no-cache", *SOON)
    time.sleep(1)
    run.send_signal(signal.SIGINT)
    code, said = ended(run)
    assert code in (0, 130)
    assert "Traceback" not in said
    assert [path.name for path in line.iterdir() if path.name.startswith(".pack")] == []


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_an_interrupt_ends_a_run_over_many(make: Make, root: Path, jobs: str) -> None:
    names = [f"V{n}" for n in range(30)]
    folder = make({"shared/body.loom": FRAGMENT, **{f"{name}.loom": variant(name, CLEAN) for name in names}})
    code = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)"
    run = start(folder, root, ".", "--no-cache", "--jobs", jobs, *SOON, code=code, group=True)
    pack = folder / "pack"
    while not (pack.exists() and any(path.name.startswith("V") for path in pack.iterdir())):
        assert run.poll() is None
        time.sleep(0.05)
    os.killpg(run.pid, signal.SIGINT)
    status, said = ended(run)
    assert status == 130
    assert "Traceback" not in said
    left = {path.name for path in pack.iterdir()}
    assert {name for name in left if name.startswith(".")} == set()
    assert 1 <= len(left) < len(names)
    assert all(LIST_NAME in read(pack / name) for name in left)


def test_a_process_that_is_ended_from_outside_is_told(line: Path, root: Path) -> None:
    dying = """
import os, signal
from loomwright import packs
real = packs.publish_one
def publish_one(library, path, *more):
    if path.name == "S2.loom":
        os.kill(os.getpid(), signal.SIGKILL)
    return real(library, path, *more)
packs.publish_one = publish_one
"""
    status, said = ended(start(line, root, ".", "--jobs", "2", *SOON, code=dying))
    assert status == 2
    assert "S2.loom: not published: a process was ended from outside" in said
    assert "Traceback" not in said


def test_watching_publishes_again_after_each_change(line: Path, root: Path) -> None:
    code = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)"
    run = start(line, root, "S2.loom", "--watch", "--formats", "json", code=code)
    assert run.stderr is not None
    pack = line / "pack" / "pack.json"
    assert b"files in pack" in run.stderr.readline()
    before = pack.read_bytes()
    (line / "S2.loom").write_text(variant("S2", "circuit {"))
    rows = [run.stderr.readline()]
    while b"not published" not in rows[-1]:
        assert rows[-1]
        rows.append(run.stderr.readline())
    assert pack.read_bytes() == before
    (line / "S2.loom").unlink()
    assert b"no such file" in run.stderr.readline()
    (line / "S2.loom").write_text(variant("S2", CLEAN.replace("BK/WH", "BK/YE")))
    assert b"files in pack" in run.stderr.readline()
    assert pack.read_bytes() != before
    run.send_signal(signal.SIGINT)
    assert ended(run) == (0, "")


def test_only_one_variant_can_be_watched(line: Path, run: Run) -> None:
    done = run("publish", ".", "--out", "pack", "--watch", cwd=line)
    assert (done.returncode, done.stderr.count("\n")) == (2, 1)
