"""Files written whole: a crash or a full disk leaves the old one."""

from __future__ import annotations

import os
import stat
import tempfile
from contextlib import suppress
from pathlib import Path


def write_whole(path: Path, data: bytes) -> None:
    """Write a file beside the old one, then put it in its place; rights and links are kept.

    Raises OSError, which names `path`.
    """
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
