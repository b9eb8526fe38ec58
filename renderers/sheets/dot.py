"""Finding and running a `dot` program. The wheel's own program is the default, so that output is the same everywhere."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
from functools import cache
from pathlib import Path

SECONDS = 60


class DotError(RuntimeError):
    """The dot program is missing, failed, or took too long; the message says which."""


@cache
def dot_program() -> str:
    """The program of the graphviz-pure wheel, found beside the interpreter though the environment is not activated.

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


def run_dot(text: str, program: str | None = None, form: str = "plain") -> str:
    """What dot makes of a graph. Raises DotError."""
    command = [program or dot_program(), f"-T{form}"]
    try:
        done = subprocess.run(command, input=text.encode(), capture_output=True, timeout=SECONDS, check=False)
    except FileNotFoundError as error:
        raise DotError(f"no dot program at {command[0]}") from error
    except subprocess.TimeoutExpired as error:
        raise DotError(f"{command[0]} took more than {SECONDS} s") from error
    if done.returncode:
        raise DotError(f"{command[0]} failed: {done.stderr.decode(errors='replace').strip()[:300]}")
    return done.stdout.decode()
