"""What all tests share: the project's folder and how long the random tests search."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

ROOT = Path(__file__).resolve().parent.parent

# No deadlines: a slow machine is not a fault. In CI the examples are the same on every run.
settings.register_profile("desk", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("ci", settings.get_profile("desk"), derandomize=True, print_blob=True)
settings.register_profile("campaign", settings.get_profile("desk"), max_examples=20_000)


def pytest_configure(config: pytest.Config) -> None:
    """Choose the search: long for a campaign, repeatable in CI, short and random at the desk."""
    if config.getoption("markexpr") == "campaign":
        settings.load_profile("campaign")
    else:
        settings.load_profile("ci" if os.environ.get("CI") else "desk")


@pytest.fixture(scope="session")
def root() -> Path:
    """The project's folder."""
    return ROOT


@pytest.fixture(scope="session")
def tree() -> tuple[Path, ...]:
    """Every file that belongs to the project, relative to its folder: what git tracks or would track."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    )
    return tuple(
        Path(name) for name in sorted(set(listed.stdout.split("\0"))) if name and (ROOT / name).is_file()
    )
