"""The demo pack and the small one in a real browser, opened from disk; any error, message or request fails the test."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from renderers.pack import build_pack
from renderers.sheets import draw_sheets
from renderers.writers.html_folder import write_html
from tests.published import sample_pack
from tests.renderers.vehicles import SMALL, read

Opening = Callable[..., Page]


def until(page: Page, holds: str) -> None:
    """Waits until an expression holds. (Playwright's own waiting is forbidden by the page's policy.)"""
    for _ in range(100):
        if page.evaluate(holds):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"never came about: {holds}")


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of the demo variant."""
    path = tmp_path_factory.mktemp("demo") / "index.html"
    path.write_bytes(write_html(sample_pack("S4"))["index.html"])
    return path


@pytest.fixture(scope="session")
def small_page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of the small vehicle, its sheets drawn."""
    folder = tmp_path_factory.mktemp("small")
    variant = read(folder, SMALL)
    path = folder / "index.html"
    path.write_bytes(write_html(build_pack(variant, draw_sheets(variant), line="Tern"))["index.html"])
    return path


@pytest.fixture
def opening(browser: Browser) -> Iterator[Opening]:
    """Opens a page at an anchor, in a window of its own; keyword arguments are the browser's for the window."""
    said: list[str] = []
    contexts = []

    def opened(path: Path, at: str = "", **window: Any) -> Page:
        context = browser.new_context(**{"viewport": {"width": 1280, "height": 800}, **window})
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda error: said.append(str(error)))
        page.on(
            "request", lambda request: None if request.url.startswith(("file:", "data:")) else said.append(request.url)
        )
        page.goto(path.as_uri() + (f"#{at}" if at else ""))
        return page

    yield opened
    for context in contexts:
        context.close()
    assert said == []
