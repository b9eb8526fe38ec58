"""Processes that set parts of a pack, several at one time. typst keeps all it has ever set; a process gives that back.

A process of ours starts as `python -m renderers.writers.print_workers` and is spoken to through its two pipes. When the
one that started it is gone, however it went, the pipe ends and so does the process.
"""

from __future__ import annotations

import os
import resource
import signal
import subprocess
import sys
from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from multiprocessing.connection import Connection
from pathlib import Path
from queue import SimpleQueue
from tempfile import TemporaryDirectory
from typing import NamedTuple

from compiler.forked import cores
from renderers.writers.print_engine import Part, PrintError, Setting, set_part

MOST = 700_000_000  # bytes that a process may have held; one that has is followed by a fresh one
_ROOT = Path(__file__).resolve().parent.parent.parent


class Task(NamedTuple):
    """A part to set, with the numbers of pages that it prints."""

    part: Part
    numbers: Mapping[str, str]


class Workers:
    """Sets parts in up to `jobs` processes (0: one a core). A context manager that leaves no process or file.

    Raises PrintError where there is no room for files.
    """

    def __init__(self, jobs: int = 1) -> None:
        try:
            self.folder = TemporaryDirectory(prefix="loomwright-print-")
        except OSError as error:
            raise PrintError(f"no room for its files: {error.strerror}") from error
        self.jobs = jobs or cores()
        self.idle: SimpleQueue[_Worker | None] = SimpleQueue()
        for _ in range(self.jobs):
            self.idle.put(None)
        self.threads = ThreadPoolExecutor(self.jobs)
        self.started: list[_Worker] = []

    def __enter__(self) -> Workers:
        return self

    def __exit__(self, *_: object) -> None:
        for worker in self.started:
            worker.stop()  # what still works, after an error, is not waited for
        self.threads.shutdown(cancel_futures=True)
        for worker in self.started:
            worker.close()
        self.folder.cleanup()

    def done(self, tasks: Iterable[Task]) -> list[Setting]:
        """What comes of each task. The largest are begun first. Raises PrintError."""
        listed = list(tasks)
        order = sorted(range(len(listed)), key=lambda at: -_weight(listed[at]))
        futures = {at: self.threads.submit(self._do, listed[at]) for at in order}
        try:
            return [futures[at].result() for at in range(len(listed))]
        finally:
            for future in futures.values():
                future.cancel()

    def _do(self, task: Task) -> Setting:
        worker = self.idle.get()
        try:
            if worker is None:
                worker = _Worker(self.folder.name)
                self.started.append(worker)
            outcome, tired = worker.do(task)
        except BaseException:
            if worker:
                worker.stop()
            self.idle.put(None)
            raise
        if tired:
            worker.stop()
        self.idle.put(None if tired else worker)
        if isinstance(outcome, str):
            raise PrintError(outcome)
        return outcome


def _weight(task: Task) -> int:
    return sum(len(data) for data in task.part.files.values())


class _Worker:
    """A process that sets parts; what it puts down meanwhile lies in a folder of the one that started it."""

    def __init__(self, folder: str) -> None:
        path = os.pathsep.join((str(_ROOT), os.environ.get("PYTHONPATH", "")))
        try:
            self.process = subprocess.Popen(
                [sys.executable, "-m", __name__],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env={**os.environ, "PYTHONPATH": path, "TMPDIR": folder},
            )
        except OSError as error:
            raise PrintError(f"it cannot be started: {error.strerror}") from error
        assert self.process.stdin
        assert self.process.stdout
        self.to = Connection(os.dup(self.process.stdin.fileno()), readable=False)
        self.by = Connection(os.dup(self.process.stdout.fileno()), writable=False)
        self.process.stdin.close()
        self.process.stdout.close()

    def do(self, task: Task) -> tuple[Setting | str, bool]:
        """What came of a task (a text: what went wrong), and whether the process has held enough. Raises PrintError."""
        try:
            self.to.send(task)
            outcome, tired = self.by.recv()
        except (EOFError, OSError) as error:
            raise PrintError("it stopped before it was done; there may be too little memory") from error
        return outcome, tired

    def stop(self) -> None:
        """End the process: it holds nothing that could be lost."""
        self.process.kill()
        self.process.wait()

    def close(self) -> None:
        """Give back the pipes of a process that is stopped and that nobody speaks to."""
        self.to.close()
        self.by.close()


def serve(tasks: Connection, outcomes: Connection) -> None:
    """Do tasks until there are no more."""
    while True:
        try:
            task = tasks.recv()
        except EOFError:
            return
        outcomes.send((_outcome(task), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024 > MOST))


def _outcome(task: Task) -> Setting | str:
    try:
        return set_part(task.part, task.numbers)
    except PrintError as error:
        return str(error)
    except OSError as error:
        return f"{error.strerror or error}"


if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the process that started this one answers for both
    with suppress(BrokenPipeError):
        serve(Connection(0, writable=False), Connection(1, readable=False))
