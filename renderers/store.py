"""Results kept between runs, found again by a digest of everything that they were made from.

What is kept is a convenience: the folder may be deleted at any time. An entry carries the digest of its own bytes, and
one that does not match is passed over and made anew. Entries are put in place by rename, so that runs side by side
never see half of one; a folder that cannot be written is done without.
"""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
from collections.abc import Callable, Iterable
from contextlib import suppress
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

LIMIT = 512 * 1024 * 1024  # bytes kept at most, after a run
_MARK = b"loomwright 1\n"
_SUM = 32  # bytes of a SHA-256 sum
_PACKAGES = ("grammar", "compiler", "renderers")
# Libraries whose output is part of ours.
_LIBRARIES = ("fontpkg-arimo", "fonttools", "graphviz-pure", "jinja2", "numpy", "pikepdf", "scipy", "typst")


class Store:
    """Results by key. With no folder nothing is kept and nothing found."""

    def __init__(self, folder: Path | None, limit: int = LIMIT) -> None:
        self.folder = folder
        self.limit = limit
        self._grown = False

    def get(self, key: str) -> bytes | None:
        """What is kept under a key, or None."""
        path = self._path(key)
        if path is None:
            return None
        try:
            data = path.read_bytes()
        except OSError:
            return None
        start = len(_MARK) + _SUM
        body = data[start:]
        if data[:start] != _MARK + _sum(key, body):
            return None
        with suppress(OSError):
            os.utime(path)  # used: the last to be cleared away
        return body

    def put(self, key: str, body: bytes) -> None:
        """Keep something, if that is possible."""
        path = self._path(key)
        if path is None or self.folder is None:
            return
        beside = ""
        try:
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)  # nobody else's to read or write
            path.parent.mkdir(exist_ok=True)
            handle, beside = tempfile.mkstemp(prefix=".new-", dir=path.parent)
            with os.fdopen(handle, "wb") as file:
                file.write(_MARK + _sum(key, body) + body)
            Path(beside).replace(path)
        except OSError:
            with suppress(OSError):
                Path(beside).unlink()
        self._grown = True

    def made(self, key: str, make: Callable[[], bytes]) -> bytes:
        """What is kept under a key; else what `make` makes, which is kept from now on."""
        found = self.get(key)
        if found is None:
            found = make()
            self.put(key, found)
        return found

    def trim(self) -> None:
        """Clear away what was not used for longest, if this run kept something and all of it is over the limit."""
        if self.folder is None or not self._grown:
            return
        held: list[tuple[float, int, Path]] = []
        with suppress(OSError):
            # What is not named like an entry of ours is someone else's: the folder may be any that was named.
            for path in filter(_ours, self.folder.glob("??/*")):
                with suppress(OSError):  # another run may be clearing away too
                    state = path.stat()
                    held.append((state.st_mtime, state.st_size, path))
        left = sum(size for _, size, _ in held)
        for _, size, path in sorted(held):
            if left <= self.limit:
                break
            with suppress(OSError):
                path.unlink()
            left -= size

    def _path(self, key: str) -> Path | None:
        return self.folder / key[:2] / key[2:] if self.folder else None


def _ours(path: Path) -> bool:
    return bool(re.fullmatch(r"[0-9a-f]{2}/([0-9a-f]{62}|\.new-\w+)", f"{path.parent.name}/{path.name}"))


def digest(parts: Iterable[str | bytes]) -> str:
    """One name for a list of texts and bytes; each is measured, so that none can run into the next."""
    whole = hashlib.sha256()
    for part in parts:
        data = part.encode("utf-8", "surrogatepass") if isinstance(part, str) else part
        whole.update(len(data).to_bytes(8, "big") + data)
    return whole.hexdigest()


@cache
def code_digest(packages: tuple[str, ...] = _PACKAGES) -> str:
    """One name for the code that makes pages, down to its templates and tables and the libraries that draw for it.

    packages  folders of the code that counts
    """
    root = Path(__file__).resolve().parent.parent
    parts: list[str | bytes] = []
    for package in packages:
        for path in sorted((root / package).rglob("*")):
            if path.is_file() and path.suffix not in (".pyc", ".md"):
                parts += [path.relative_to(root).as_posix(), path.read_bytes()]
    for name in _LIBRARIES:
        with suppress(PackageNotFoundError):
            parts += [name, version(name)]
    return digest(parts)


def usual_folder() -> Path | None:
    """Where results are kept: `loomwright` in the user's folder for such things. None where there is no home.

    XDG base directory specification 0.8 (freedesktop.org, grade A): XDG_CACHE_HOME, which counts only if absolute.
    """
    given = os.environ.get("XDG_CACHE_HOME", "")
    try:
        base = Path(given) if Path(given).is_absolute() else Path.home() / ".cache"
    except RuntimeError:
        return None
    return base / "loomwright"


def _sum(key: str, body: bytes) -> bytes:
    return hashlib.sha256(key.encode() + body).digest()
