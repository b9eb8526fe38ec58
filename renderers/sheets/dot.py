"""Finding and running a `dot` program. The wheel's own program is the default, so that output is the same everywhere.

Starting a program costs more than placing a page, so graphs are asked for, not run: a generator yields the graphs it
needs and gets back what dot made of them. `together` lets many such generators run side by side, and `answered` runs all
the graphs that they ask for at one time together.
"""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
from collections.abc import Callable, Generator, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from pathlib import Path
from typing import TypeVar

from compiler.forked import cores

SECONDS = 120  # for one run
FEW = 6  # graphs for which a second run would not pay

T = TypeVar("T")
Asking = Generator[tuple[str, ...], tuple[str, ...], T]
"""Yields graphs in the DOT language, gets dot's plain output for each, returns a T."""
Runner = Callable[[Sequence[str], str | None], tuple[str, ...]]
"""Takes graphs and the dot program to use (None: the built-in one), gives dot's plain output for each."""


class DotError(RuntimeError):
    """The dot program is missing, failed, or took too long; the message says which."""


@cache
def dot_program() -> str:
    """The program of the graphviz-pure wheel, found beside the interpreter though its environment is not activated.

    Raises DotError when the wheel is not installed.
    """
    from importlib.metadata import PackageNotFoundError, files

    name = "graphviz-pure.exe" if sys.platform == "win32" else "graphviz-pure"
    folders = (
        sysconfig.get_path("scripts"),
        str(Path(sys.executable).parent),
        sysconfig.get_path("scripts", f"{os.name}_user"),
    )
    for folder in folders:
        if (found := Path(folder, name)).is_file():
            return str(found)
    try:
        for file in files("graphviz-pure") or ():
            if file.name == name:
                return str(Path(str(file.locate())).resolve())
    except PackageNotFoundError:
        pass
    raise DotError("no dot program: install the package graphviz-pure, or name a Graphviz program with --dot")


def run_dot(graphs: Sequence[str], program: str | None = None) -> tuple[str, ...]:
    """What dot makes of some graphs, in its plain format. Many are dealt out over a few runs side by side; the answers do
    not depend on how. Raises DotError."""
    command = program or dot_program()
    hands = min(4, cores(), len(graphs) // FEW)
    if hands < 2:
        return _run(graphs, command)
    # Every hand gets every nth graph: the large ones of a sheet stand together.
    with ThreadPoolExecutor(hands) as pool:
        parts = list(pool.map(_run, (graphs[n::hands] for n in range(hands)), [command] * hands))
    return tuple(parts[n % hands][n // hands] for n in range(len(graphs)))


def _run(graphs: Sequence[str], program: str) -> tuple[str, ...]:
    """One run of dot."""
    if not graphs:
        return ()
    try:
        done = subprocess.run(
            [program, "-Tplain"],
            input="\n".join(graphs).encode(),
            capture_output=True,
            timeout=SECONDS,
            check=False,
        )
    except OSError as error:
        raise DotError(f"cannot run {program}: {error.strerror or error}") from error
    except subprocess.TimeoutExpired as error:
        raise DotError(f"{program} took more than {SECONDS} s") from error
    if done.returncode:
        said = done.stderr.decode(errors="replace").strip()[:300] or f"exit code {done.returncode}"
        raise DotError(f"{program} failed: {said}")
    answers = tuple(done.stdout.decode(errors="replace").split("\nstop\n")[:-1])
    if len(answers) != len(graphs):
        raise DotError(f"{program} gave {len(answers)} graphs for {len(graphs)}")
    return answers


def together(askers: Sequence[Asking[T]]) -> Asking[list[T]]:
    """The results of several generators that ask side by side."""
    results: dict[int, T] = {}
    asked: dict[int, tuple[str, ...]] = {}

    def step(index: int, answer: tuple[str, ...] | None) -> None:
        try:
            asked[index] = askers[index].send(answer) if answer is not None else next(askers[index])
        except StopIteration as stop:
            asked.pop(index, None)
            results[index] = stop.value

    for index in range(len(askers)):
        step(index, None)
    while asked:
        order = list(asked)
        answers = yield tuple(graph for index in order for graph in asked[index])
        start = 0
        for index in order:
            count = len(asked[index])
            step(index, answers[start : start + count])
            start += count
    return [results[index] for index in range(len(askers))]


def answered(asker: Asking[T], program: str | None = None, run: Runner = run_dot) -> T:
    """Run a generator to its end, with dot's answers as `run` gets them. Raises DotError."""
    try:
        graphs = next(asker)
        while True:
            graphs = asker.send(run(graphs, program))
    except StopIteration as stop:
        result: T = stop.value
        return result
