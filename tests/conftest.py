"""What all tests share: the project's folder, how long the random tests search, and the browser to look with."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, settings

if TYPE_CHECKING:
    from playwright.sync_api import Browser

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
    return tuple(Path(name) for name in sorted(set(listed.stdout.split("\0"))) if name and (ROOT / name).is_file())


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The system's Chromium."""
    from playwright.sync_api import sync_playwright

    path = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield running
        running.close()
