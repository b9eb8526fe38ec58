"""Processes that part from this one, for work on all cores: what is in memory they inherit."""

from __future__ import annotations

import gc
import os
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from concurrent.futures import ProcessPoolExecutor


def cores() -> int:
    """How many cores this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on every system
        return os.cpu_count() or 1


@contextmanager
def forked(jobs: int, begin: Callable[..., None] | None = None, *args: object) -> Iterator[ProcessPoolExecutor]:
    """A pool of `jobs` processes that know what this one knows now.

    begin, args  called in each process before its first work

    An interrupt goes to all processes; the first one alone answers it.
    """
    # Loaded here: who only counts cores needs none of it.
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    # Objects that never move between generations are never written to, and stay shared between the processes.
    gc.collect()
    gc.freeze()
    try:
        with ProcessPoolExecutor(jobs, get_context("fork"), _begin, (begin, args)) as pool:
            yield pool
    finally:
        gc.unfreeze()


def _begin(begin: Callable[..., None] | None, args: tuple[object, ...]) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if begin is not None:
        begin(*args)
