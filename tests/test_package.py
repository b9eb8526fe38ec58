"""What is installed: a wheel built from the tree holds every file that the packages need."""

from __future__ import annotations

import configparser
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGES = ("grammar", "compiler", "renderers", "loomwright")


@pytest.fixture(scope="module")
def wheel(
    root: Path, tree: tuple[Path, ...], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[zipfile.ZipFile]:
    """The wheel of exactly the project's files, built apart so that the tree stays clean."""
    copy = tmp_path_factory.mktemp("tree")
    for path in tree:
        if path.parts[0] in {*PACKAGES, "README.md", "pyproject.toml"}:
            (copy / path).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(root / path, copy / path)
    command = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "--quiet",
        "--no-deps",
        "--no-build-isolation",
        "--wheel-dir",
        "out",
        ".",
    ]
    built = subprocess.run(command, cwd=copy, capture_output=True, text=True, check=False)
    assert built.returncode == 0, built.stderr
    with zipfile.ZipFile(next((copy / "out").glob("loomwright-*.whl"))) as archive:
        yield archive


def test_the_wheel_holds_every_file_of_the_packages(wheel: zipfile.ZipFile, tree: tuple[Path, ...]) -> None:
    ours = {path.as_posix() for path in tree if path.parts[0] in PACKAGES}
    assert sorted(ours - set(wheel.namelist())) == []


def test_the_wheel_holds_nothing_else(wheel: zipfile.ZipFile) -> None:
    tops = {name.split("/")[0] for name in wheel.namelist()}
    assert {top for top in tops if not top.endswith(".dist-info")} == set(PACKAGES)


def test_the_command_and_the_highlighter_are_announced(wheel: zipfile.ZipFile) -> None:
    listed = next(name for name in wheel.namelist() if name.endswith("entry_points.txt"))
    points = configparser.ConfigParser()
    points.read_string(wheel.read(listed).decode())
    assert dict(points["console_scripts"]) == {"loomwright": "loomwright.cli:main"}
    assert dict(points["pygments.lexers"]) == {"loom": "grammar.highlight:LoomLexer"}
