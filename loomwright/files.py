"""Files written whole, for a crash or a full disk to leave the old one; and read where they are files."""

from __future__ import annotations

import errno
import os
import stat
import tempfile
from contextlib import suppress
from pathlib import Path


def no_plain_file(path: object) -> str:
    """What is said of a pipe or a device, which would keep us waiting or never end."""
    return f"{path}: is no plain file"


def want_plain(path: Path) -> None:
    """Raises CannotRun for what is there and is neither a file nor a folder."""
    from loomwright.errors import CannotRun

    if path.exists() and not path.is_dir() and not path.is_file():
        raise CannotRun(no_plain_file(path))


def read_plain(path: Path, most: int = -1) -> bytes:
    """The bytes of a file, at most so many.

    Raises CannotRun for a pipe or a device, without waiting for it, and OSError.
    """
    from loomwright.errors import CannotRun

    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    try:
        kind = os.fstat(handle).st_mode
        if stat.S_ISDIR(kind):
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), os.fspath(path))
        if not stat.S_ISREG(kind):
            raise CannotRun(no_plain_file(path))
        with os.fdopen(handle, "rb", closefd=False) as file:
            return file.read(most)
    finally:
        os.close(handle)


def write_whole(path: Path, data: bytes) -> None:
    """Write a file beside the old one, then put it in its place; rights and links are kept.

    Raises CannotRun for a pipe or a device, whose place no file must take, and OSError, which names `path`.
    """
    want_plain(path)
    try:
        _write_whole(path.resolve(), data)
    except OSError as error:
        error.filename, error.filename2 = os.fspath(path), None
        raise


def _write_whole(target: Path, data: bytes) -> None:
    handle, beside = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(beside).chmod(_rights(target))
        Path(beside).replace(target)
    except BaseException:
        with suppress(OSError):
            Path(beside).unlink()
        raise


def _rights(path: Path) -> int:
    try:
        return stat.S_IMODE(path.stat().st_mode)
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask
