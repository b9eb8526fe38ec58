"""Answers of dot kept between runs: what dot makes of a graph depends on the program and the graph alone."""

from __future__ import annotations

import subprocess
from collections.abc import Sequence
from pathlib import Path
from shutil import which

from renderers.sheets.dot import Runner, dot_program, run_dot
from renderers.store import Store, digest


def remembering(store: Store, run: Runner = run_dot) -> Runner:
    """A `run_dot` that asks dot only for graphs that it has not answered before."""
    names: dict[str | None, str] = {}

    def answer(graphs: Sequence[str], program: str | None = None) -> tuple[str, ...]:
        if program not in names:
            names[program] = program_digest(program)
        keys = [digest(("dot", names[program], graph)) for graph in graphs]
        found = {key: data.decode() for key in keys if (data := store.get(key)) is not None}
        missing = {key: graph for key, graph in zip(keys, graphs, strict=True) if key not in found}
        for key, made in zip(missing, run(list(missing.values()), program), strict=True):
            store.put(key, made.encode())
            found[key] = made
        return tuple(found[key] for key in keys)

    return answer


def program_digest(program: str | None) -> str:
    """One name for a dot program: its file, and what it says of its version. Raises DotError when there is none."""
    path = Path(which(program) or program) if program else Path(dot_program())
    try:
        own = path.read_bytes()
        # The built-in program is one file; another may be a small front of many.
        says = b""
        if program:
            says = subprocess.run([str(path), "-V"], capture_output=True, timeout=20, check=False).stderr
    except (OSError, subprocess.TimeoutExpired):
        return digest(("dot", str(program)))  # running it will say what is wrong with it
    return digest((own, says))
