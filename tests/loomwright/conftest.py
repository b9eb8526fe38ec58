"""Small projects to run on, and the command as a user runs it."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

FRAGMENT = """\
harness body "Body harness"
harness tailgate "Tailgate harness"
zone cab "Cab" 200 by 100
connector C40 "Tailgate hinge" 2 cavities body -- tailgate at cab (1, 1)
ring-terminal E1 at cab (2, 1)
ring-terminal E2 at cab (3, 1)
"""
CLEAN = """\
circuit 48 2.5 mm2 BK/WH in body {
  A  E1    -- C40.1  1 m
  B  C40.1 -- E2     1 m  in tailgate
}
"""
DANGLING = """\
circuit 48 2.5 mm2 BK/WH in body {
  A  E1 -- C40.1  1 m
}
"""
SPARE = "extend connector C40 { spare rest }\nsheet 1 { circuits 48 }\n"


def variant(name: str, circuits: str, more: str = SPARE) -> str:
    """The text of a variant that uses the fragment."""
    return f'variant {name} "Truck {name}" {{ supply 12.6 V }}\nuse "shared/body.loom"\n{circuits}{more}'


Make = Callable[[Mapping[str, str | bytes]], Path]


@pytest.fixture
def make(tmp_path: Path) -> Make:
    """Writes files (path below the folder -> text) and returns the folder."""

    def write(files: Mapping[str, str | bytes]) -> Path:
        folder = tmp_path / "project"
        for name, text in files.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return folder

    return write


@pytest.fixture
def project(make: Make) -> Path:
    """Two variants of one fragment: S2 is clean, S4 has a cavity wired on one half."""
    return make(
        {
            "loomwright.toml": '[project]\nname = "Trucks"\n',
            "shared/body.loom": FRAGMENT,
            "S2.loom": variant("S2", CLEAN),
            "S4.loom": variant("S4", DANGLING),
        }
    )


Run = Callable[..., "subprocess.CompletedProcess[str]"]


@pytest.fixture
def run(root: Path, tmp_path: Path) -> Run:
    """Runs the command in a process of its own: `run("check", "x.loom", cwd=folder, env={...}, input="...")`."""

    def call(
        *arguments: str | Path, cwd: Path | None = None, env: Mapping[str, str] = {}, text: str | None = None
    ) -> subprocess.CompletedProcess[str]:
        plain = {"PATH": os.environ["PATH"], "PYTHONPATH": str(root), "LC_ALL": "C.UTF-8", "HOME": str(tmp_path)}
        return subprocess.run(
            [sys.executable, "-m", "loomwright", *map(str, arguments)],
            cwd=cwd or tmp_path,
            env={**plain, **env},
            input=text,
            capture_output=True,
            encoding="utf-8",
            check=False,
            timeout=120,
        )

    return call
