"""A folder replaced whole: built beside its target and swapped in by rename, so that a reader sees the old or the new.

A folder is replaced only if it is one of ours and holds nothing else: a list of its files stands in it.
"""

from __future__ import annotations

import ctypes
import errno
import hashlib
import os
import shutil
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

LIST_NAME = ".loomwright-pack"
_FIRST_LINE = "loomwright pack 1"
# What desktops leave in folders that people look into.
_LITTER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
_STALE_SECONDS = 3600.0
_TRIES = 50
_AT_FDCWD, _RENAME_EXCHANGE = -100, 2


class SwapError(Exception):
    """The folder cannot be written or replaced; the message is one line for a person."""


@contextmanager
def replacing(target: Path) -> Iterator[Path]:
    """A new, empty folder beside `target`, which takes its place when the block ends well and is gone when it does not.

    The block fills the folder with `write_files`. Raises SwapError when the target is not a pack of ours, before
    anything is built and again before anything is replaced.
    """
    target = target.resolve()
    _recover(target)
    check_replaceable(target)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        new = _new_folder(target)
    except (FileExistsError, NotADirectoryError) as error:
        file = next((path for path in target.parents if path.is_file()), error.filename)
        raise SwapError(f"{file} is a file; name a folder for the pack") from error
    except OSError as error:
        raise SwapError(f"cannot write beside {target}: {error.strerror or error}") from error
    try:
        yield new
        _swap_in(new, target)
    except OSError as error:
        raise SwapError(f"cannot write {target}: {error.strerror or error}") from error
    finally:
        # After a swap this is the old pack; after a failure, what there was of the new one.
        shutil.rmtree(new, ignore_errors=True)


def write_files(folder: Path, files: Mapping[str, bytes], title: str) -> None:
    """Write files by relative name, and the list that marks the folder as a pack of ours. Raises OSError."""
    for name, data in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        _write(path, data)
    lines = [f"{hashlib.sha256(data).hexdigest()}  {name}" for name, data in sorted(files.items())]
    _write(folder / LIST_NAME, "\n".join([_FIRST_LINE, title, *lines, ""]).encode("utf-8"))
    for path in sorted({folder, *(folder.joinpath(name).parent for name in files)}):
        _sync(path)


def holds(target: Path, files: Mapping[str, bytes]) -> bool:
    """Whether a pack of ours stands at the target with these very files and no other."""
    try:
        if _listed(target) != set(files):
            return False
        return all((target / name).read_bytes() == data for name, data in files.items())
    except OSError:
        return False


def check_replaceable(target: Path) -> None:
    """Raises SwapError unless nothing stands at the target, or an empty folder, or a pack of ours and nothing else."""
    try:
        if not target.exists():
            return
        if _is_here(target):
            raise SwapError(f"{target} is the folder that this runs in, and cannot be replaced under it; name another")
        if not target.is_dir():
            raise SwapError(f"{target} is a file; name a folder for the pack")
        listed = _listed(target)
        # Lazily: what is no pack may be a whole disk.
        held = (path.relative_to(target).as_posix() for path in target.rglob("*") if _counts(path))
        if listed is None and next(held, None) is not None:
            raise SwapError(f"{target} is not a pack: it will not be replaced; name a new folder, or empty this one")
        foreign = sorted(set(held) - (listed or set()) - {LIST_NAME})
    except OSError as error:
        raise SwapError(f"cannot look into {target}: {error.strerror or error}") from error
    if foreign:
        raise SwapError(f"{target} holds {foreign[0]}, which is not of the pack: move it away first")


def _is_here(target: Path) -> bool:
    """Whether the current folder is this one, or lies in it: after a swap it would be gone."""
    try:
        here = Path.cwd()
    except OSError:
        return False
    return target.resolve() in (here, *here.parents)


def _counts(path: Path) -> bool:
    """Whether something in a folder is there to stay: not a folder, and not litter. A link is, wherever it leads."""
    return path.is_symlink() or (not path.is_dir() and path.name not in _LITTER)


def _listed(folder: Path) -> set[str] | None:
    """Names of the files that a pack lists as its own; None when the folder is no pack."""
    try:
        lines = (folder / LIST_NAME).read_text("utf-8").splitlines()
    except (FileNotFoundError, NotADirectoryError, UnicodeDecodeError):
        return None
    if lines[:1] != [_FIRST_LINE]:
        return None
    return {name for line in lines[2:] if (name := line.partition("  ")[2])}


def _write(path: Path, data: bytes) -> None:
    with path.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _sync(folder: Path) -> None:
    """Make the names in a folder last, where the system allows it."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _new_folder(target: Path) -> Path:
    for attempt in range(1, 1000):
        name = f".{target.name}.new-{os.getpid()}" + (f"-{attempt}" if attempt > 1 else "")
        folder = target.with_name(name)
        with suppress(FileExistsError):
            folder.mkdir()
            return folder
    raise SwapError(f"too many unfinished packs beside {target}")


def _swap_in(new: Path, target: Path) -> None:
    """Put `new` at `target`; what was there is at `new` afterwards, or gone if there was nothing."""
    for _ in range(_TRIES):
        try:
            os.rename(new, target)  # noqa: PTH104  onto nothing or an empty folder, never over a full one
        except OSError as error:
            if error.errno not in (errno.ENOTEMPTY, errno.EEXIST):
                raise
        else:
            _sync(target.parent)
            return
        check_replaceable(target)
        if _exchange(new, target) or _rename_twice(new, target):
            break
    else:
        raise SwapError(f"{target} changes too fast to be replaced")
    _sync(target.parent)
    try:
        check_replaceable(new)
    except SwapError:
        # Between the look and the swap something else came to stand there: give it its place back.
        _exchange(new, target)
        raise


def _exchange(a: Path, b: Path) -> bool:
    """Swap two names in one step. False where the system cannot."""
    if not sys.platform.startswith("linux"):
        return False
    try:
        call = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    return int(call(_AT_FDCWD, os.fsencode(a), _AT_FDCWD, os.fsencode(b), _RENAME_EXCHANGE)) == 0


def _rename_twice(new: Path, target: Path) -> bool:
    """Swap by two renames. Between them nothing stands at the target; `_recover` mends a crash there."""
    old = target.with_name(f".{target.name}.old-{os.getpid()}")
    try:
        os.rename(target, old)  # noqa: PTH104
    except FileNotFoundError:
        return False
    try:
        os.rename(new, target)  # noqa: PTH104
    except OSError:
        os.rename(old, target)  # noqa: PTH104
        raise
    os.rename(old, new)  # noqa: PTH104
    return True


def _recover(target: Path) -> None:
    """Put back a pack that a crash left between two renames, and clear away what crashed runs left long ago."""
    with suppress(OSError):
        for path in sorted(target.parent.glob(f".{target.name}.*-*")):
            kind, _, number = path.name.removeprefix(f".{target.name}.").partition("-")
            if kind not in ("new", "old") or _alive(number.partition("-")[0]):
                continue
            if kind == "old" and not target.exists() and _listed(path) is not None:
                os.rename(path, target)  # noqa: PTH104
            # Another machine may be writing here: its run is not alive on this one, but its folder is fresh.
            elif time.time() - path.stat().st_mtime > _STALE_SECONDS:
                shutil.rmtree(path, ignore_errors=True)


def _alive(number: str) -> bool:
    if not (number.isascii() and number.isdigit()):
        return True
    try:
        os.kill(int(number), 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        return True
    return True
