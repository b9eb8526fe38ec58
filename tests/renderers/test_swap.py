"""A pack is replaced whole or not at all."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from renderers import swap
from renderers.swap import LIST_NAME, SwapError, check_replaceable, replacing, write_files

OLD, NEW = {"index.html": b"old", "csv/a.csv": b"1"}, {"index.html": b"new", "pack.json": b"{}"}


def put(target: Path, files: dict[str, bytes]) -> None:
    with replacing(target) as folder:
        write_files(folder, files, "variant T1")


def held(target: Path) -> dict[str, bytes]:
    """The files of a folder by name, without the list."""
    return {
        path.relative_to(target).as_posix(): path.read_bytes()
        for path in target.rglob("*")
        if path.is_file() and path.name != LIST_NAME
    }


def cannot(*_: Path) -> bool:
    """Stands for a system that has no swap in one step."""
    return False


def fail_while_building(target: Path) -> None:
    with replacing(target) as folder:
        (folder / "index.html").write_bytes(b"half")
        raise RuntimeError("broke")


def number_of_a_run_that_is_over() -> int:
    code = "import os; print(os.getpid())"
    return int(subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout)


def beside(target: Path) -> list[str]:
    return sorted(path.name for path in target.parent.iterdir() if path != target)


@pytest.fixture
def target(tmp_path: Path) -> Path:
    """Where a pack is to stand, in a folder that does not exist yet."""
    return tmp_path / "build" / "T1"


@pytest.fixture(params=["in one step", "by two renames"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Both ways of swapping; the second is for systems without the first."""
    if request.param == "by two renames":
        monkeypatch.setattr(swap, "_exchange", cannot)
    return str(request.param)


def test_a_new_pack_takes_the_place_of_the_old(target: Path, way: str) -> None:
    put(target, OLD)
    assert held(target) == OLD
    put(target, NEW)
    assert held(target) == NEW
    assert beside(target) == []


def test_an_empty_folder_is_filled(target: Path, way: str) -> None:
    target.mkdir(parents=True)
    put(target, NEW)
    assert held(target) == NEW


def test_a_link_to_the_folder_stays_a_link(target: Path, tmp_path: Path) -> None:
    put(target, OLD)
    link = tmp_path / "current"
    link.symlink_to(target)
    put(link, NEW)
    assert link.is_symlink()
    assert held(target) == NEW


def test_a_folder_that_is_no_pack_is_refused_and_kept(target: Path) -> None:
    target.mkdir(parents=True)
    (target / "thesis.txt").write_text("years of work")
    with pytest.raises(SwapError, match="is not a pack"):
        put(target, NEW)
    assert (target / "thesis.txt").read_text() == "years of work"
    assert beside(target) == []


def test_a_file_of_another_in_the_pack_is_refused_and_kept(target: Path) -> None:
    put(target, OLD)
    (target / "notes.txt").write_text("mine")
    with pytest.raises(SwapError, match=r"holds notes\.txt"):
        put(target, NEW)
    assert held(target) == {**OLD, "notes.txt": b"mine"}
    (target / "notes.txt").rename(target / ".DS_Store")
    put(target, NEW)
    assert held(target) == NEW


def test_a_link_of_another_in_the_pack_is_refused_and_kept(target: Path, tmp_path: Path) -> None:
    put(target, OLD)
    (target / "mine").symlink_to(tmp_path, target_is_directory=True)
    with pytest.raises(SwapError, match="holds mine"):
        put(target, NEW)
    assert (target / "mine").is_symlink()


def test_a_large_folder_that_is_no_pack_is_not_searched(target: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One foreign file says enough: the folder may be a whole disk."""
    target.mkdir(parents=True)

    def endless(_: Path, __: str) -> Iterator[Path]:
        yield target / "thesis.txt"
        raise AssertionError("went on looking")

    (target / "thesis.txt").write_text("years of work")
    monkeypatch.setattr(Path, "rglob", endless)
    with pytest.raises(SwapError, match="is not a pack"):
        check_replaceable(target)


def test_a_file_in_the_way_is_refused(target: Path) -> None:
    target.parent.mkdir()
    target.write_text("a file")
    with pytest.raises(SwapError, match="is a file"):
        put(target, NEW)
    assert target.read_text() == "a file"


def test_a_list_of_another_kind_is_no_pack(target: Path) -> None:
    target.mkdir(parents=True)
    (target / LIST_NAME).write_text("something else\n")
    with pytest.raises(SwapError, match="is not a pack"):
        check_replaceable(target)


def test_a_failure_while_building_leaves_the_old_pack(target: Path) -> None:
    put(target, OLD)
    with pytest.raises(RuntimeError, match="broke"):
        fail_while_building(target)
    assert held(target) == OLD
    assert beside(target) == []


def test_a_full_disk_leaves_the_old_pack(target: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(target, OLD)

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(SwapError, match="No space left on device"):
        put(target, NEW)
    assert held(target) == OLD
    assert beside(target) == []


@pytest.mark.parametrize("broken", [1, 2, 3])
def test_a_rename_that_fails_leaves_a_whole_pack(target: Path, monkeypatch: pytest.MonkeyPatch, broken: int) -> None:
    put(target, OLD)
    monkeypatch.setattr(swap, "_exchange", cannot)
    rename, calls = os.rename, 0

    def failing(a: Path, b: Path) -> None:
        nonlocal calls
        calls += 1
        # The first call always fails: it tells a full folder from a free place.
        if calls == broken + 1:
            raise PermissionError(13, "Permission denied")
        rename(a, b)

    monkeypatch.setattr(os, "rename", failing)
    with pytest.raises(SwapError, match="Permission denied"):
        put(target, NEW)
    assert held(target) == (NEW if broken == 3 else OLD)


def test_what_comes_between_the_look_and_the_swap_is_given_back(target: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(target, OLD)
    exchange = swap._exchange

    def late(a: Path, b: Path) -> bool:
        if not (b / "thesis.txt").exists():
            (b / "thesis.txt").write_text("years of work")
        return exchange(a, b)

    monkeypatch.setattr(swap, "_exchange", late)
    with pytest.raises(SwapError, match=r"thesis\.txt"):
        put(target, NEW)
    assert held(target) == {**OLD, "thesis.txt": b"years of work"}


def test_a_crash_between_two_renames_is_mended_by_the_next_run(target: Path) -> None:
    put(target, OLD)
    target.rename(target.with_name(f".T1.old-{number_of_a_run_that_is_over()}"))
    with pytest.raises(RuntimeError, match="broke"):
        fail_while_building(target)
    assert held(target) == OLD


def test_what_crashed_runs_left_is_cleared_when_it_is_old(target: Path) -> None:
    over = number_of_a_run_that_is_over()
    stale, fresh, ours = (target.with_name(f".T1.new-{name}") for name in (over, f"{over}-2", os.getpid()))
    for folder in (stale, fresh, ours):
        folder.mkdir(parents=True)
    for folder in (stale, ours):
        os.utime(folder, (0, 0))
    put(target, NEW)
    assert beside(target) == sorted([fresh.name, ours.name])


def test_two_runs_in_one_process_do_not_mix(target: Path) -> None:
    put(target, OLD)
    first, second = {"index.html": b"1"}, {"index.html": b"2", "x.csv": b"2"}
    with replacing(target) as one:
        write_files(one, first, "variant T1")
        with replacing(target) as two:
            assert one != two
            write_files(two, second, "variant T1")
        assert held(target) == second
    assert held(target) == first
    assert beside(target) == []


LOOP = """
import sys
from pathlib import Path
from renderers.swap import replacing, write_files
target, mark = Path(sys.argv[1]), sys.argv[2].encode()
print("ready", flush=True)
while True:
    with replacing(target) as folder:
        write_files(folder, {f"{n}.txt": mark for n in range(20)}, "variant T1")
"""


def test_a_reader_never_sees_half_a_pack(target: Path, root: Path) -> None:
    """Two runs replace the pack over and over and are killed; a reader finds a whole pack of one of them each time."""
    put(target, {f"{n}.txt": b"0" for n in range(20)})
    run = [sys.executable, "-c", LOOP, str(target)]
    writers = [subprocess.Popen([*run, mark], cwd=root, stdout=subprocess.PIPE) for mark in ("1", "2")]
    seen = set()
    try:
        for writer in writers:
            assert writer.stdout is not None
            assert writer.stdout.readline() == b"ready\n"
        end = time.monotonic() + 2
        while time.monotonic() < end:
            # Held open: what is read belongs to one pack, though its name may change meanwhile.
            handle = os.open(target, os.O_RDONLY | os.O_DIRECTORY)
            try:
                with os.scandir(handle) as entries:
                    names = [entry.name for entry in entries if entry.name != LIST_NAME]
                marks = {read_at(handle, name) for name in names}
            except FileNotFoundError:
                continue  # the pack that was opened has been replaced and cleared away
            finally:
                os.close(handle)
            if len(names) == 20:
                assert len(marks) == 1
                seen |= marks
    finally:
        for writer in writers:
            writer.send_signal(signal.SIGKILL)
            writer.wait()
            assert writer.stdout is not None
            writer.stdout.close()
    assert len(seen) > 1
    assert len(held(target)) == 20
    assert len(set(held(target).values())) == 1
    for name in beside(target):
        shutil.rmtree(target.with_name(name))


def read_at(folder: int, name: str) -> bytes:
    handle = os.open(name, os.O_RDONLY, dir_fd=folder)
    try:
        return os.read(handle, 10)
    finally:
        os.close(handle)
