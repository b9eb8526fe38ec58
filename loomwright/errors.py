"""Errors that mean `cannot run`, each as one line for a person."""

from __future__ import annotations

import errno
import os


class CannotRun(Exception):  # noqa: N818 - says what it is
    """A command cannot do what it is asked; the message is one line."""


def cannot_run(error: BaseException) -> str | None:
    """The line for an error that we know and that is no mistake of ours, or None.

    Errors are known by their type's name and module, so that nothing is imported that the command did not use.
    """
    if isinstance(error, CannotRun):
        return str(error)
    if isinstance(error, OSError):
        return said_by_system(error)
    if isinstance(error, UnicodeError):
        return f"a text cannot be read or written: {error}"
    if isinstance(error, MemoryError):
        return "not enough memory"
    if isinstance(error, RuntimeError) and str(error).startswith("Symlink loop"):  # pathlib's word, before Python 3.13
        named = str(error).removeprefix("Symlink loop from ").strip("'")
        return f"{named}: {os.strerror(errno.ELOOP).lower()}"
    kind = type(error)
    if any((base.__module__, base.__name__) in _KNOWN for base in kind.__mro__):
        return str(error)
    return None


_KNOWN = frozenset(
    {
        ("compiler.assembly.project", "ProjectError"),
        ("compiler.exchange.problems", "WireListError"),
        ("loomwright.sources", "NothingToCheck"),
        ("renderers.publish", "PublishError"),
    }
)


def said_by_system(error: OSError) -> str:
    """`FILE: no such file or directory`."""
    reason = (error.strerror or str(error) or type(error).__name__).lower()
    named = [os.fspath(name) for name in (error.filename, error.filename2) if isinstance(name, str | bytes)]
    return f"{os.fsdecode(named[0])}: {reason}" if named else reason
