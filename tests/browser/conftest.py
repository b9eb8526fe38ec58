"""The demo pack and the small one in a real browser, opened from disk; any error, message or request fails the test."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page

from renderers.document import Pack
from renderers.pack import build_pack
from renderers.sheets import draw_sheets
from renderers.writers.html_folder import write_html
from tests.published import sample_pack
from tests.renderers.vehicles import SMALL, read

Opening = Callable[..., Page]
Desk = Callable[..., Page]


def until(page: Page, holds: str) -> None:
    """Waits until an expression holds. (Playwright's own waiting is forbidden by the page's policy.)"""
    for _ in range(100):
        if page.evaluate(holds):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"never came about: {holds}")


def at(page: Page, selector: str, **wishes: Any) -> Locator:
    """`page.locator` by the browser's own selectors: Playwright's look for shadow roots in every one of the demo pack's
    two hundred thousand elements, each time."""
    return page.locator(f"css:light={selector}", **wishes)


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of the demo variant."""
    path = tmp_path_factory.mktemp("demo") / "index.html"
    path.write_bytes(write_html(sample_pack("S4"))["index.html"])
    return path


@pytest.fixture(scope="session")
def small_pack(tmp_path_factory: pytest.TempPathFactory) -> Pack:
    """The pack of the small vehicle, its sheets drawn."""
    variant = read(tmp_path_factory.mktemp("small"), SMALL)
    return build_pack(variant, draw_sheets(variant), line="Tern")


@pytest.fixture(scope="session")
def small_page(small_pack: Pack, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Its page."""
    path = tmp_path_factory.mktemp("page") / "index.html"
    path.write_bytes(write_html(small_pack)["index.html"])
    return path


def window(browser: Browser, said: list[str], **wishes: Any) -> Page:
    """A window of its own that notes in `said` whatever it ought not to do; `wishes` are the browser's for it."""
    page = browser.new_context(**{"viewport": {"width": 1280, "height": 800}, **wishes}).new_page()
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: None if request.url.startswith(("file:", "data:")) else said.append(request.url))
    return page


@pytest.fixture
def opening(browser: Browser) -> Iterator[Opening]:
    """Opens a page at an anchor, in a window of its own; keyword arguments are the browser's for the window."""
    said: list[str] = []
    pages = []

    def opened(path: Path, anchor: str = "", **wishes: Any) -> Page:
        page = window(browser, said, **wishes)
        pages.append(page)
        page.goto(path.as_uri() + (f"#{anchor}" if anchor else ""))
        return page

    yield opened
    for page in pages:
        page.context.close()
    assert said == []


@pytest.fixture(scope="module")
def kept_window(browser: Browser, demo: Path) -> Iterator[Page]:
    """One window on the demo pack for many tests: to load it takes longer than most of them."""
    said: list[str] = []
    page = window(browser, said)
    page.goto(demo.as_uri())
    yield page
    page.context.close()
    assert said == []


@pytest.fixture
def desk(kept_window: Page) -> Desk:
    """Turns the kept window to an anchor, with nothing lit and nothing sought, as one who has worked on would."""

    def turned(anchor: str, width: int = 1280, height: int = 800) -> Page:
        page = kept_window
        page.set_viewport_size({"width": width, "height": height})
        at(page, "#search").fill("")
        page.evaluate("document.activeElement.blur()")
        page.keyboard.press("Escape")
        page.evaluate("anchor => { location.hash = 'front'; location.hash = anchor; }", anchor)
        until(page, "document.querySelector('main > :not([hidden])') !== null")
        return page

    return turned
