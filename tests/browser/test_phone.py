"""The demo pack on a phone: 360 pixels wide, under a finger."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Opening, at, until

PHONE = {"viewport": {"width": 360, "height": 720}, "has_touch": True, "is_mobile": True}


def test_nothing_is_wider_than_the_phone(demo: Path, opening: Opening) -> None:
    page = opening(demo, **PHONE)
    for view in page.evaluate("[...document.querySelectorAll('.part')].map(part => part.id)"):
        page.evaluate("view => { location.hash = view; }", view)
        expect(at(page, f"#{view} h2").first).to_be_visible()
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, view


def test_a_table_that_scrolls_sideways_is_not_squeezed(demo: Path, opening: Opening) -> None:
    page = opening(demo, "section-grounds", **PHONE)
    expect(at(page, "#item-G101")).to_be_visible()
    widths = page.evaluate("[...document.querySelectorAll('#item-G101 .place')].map(cell => cell.offsetWidth)")
    assert min(widths) >= 120
    box = at(page, "#item-G101").bounding_box()
    assert box is not None
    assert box["height"] < 190
    page.evaluate("location.hash = 'wire-48B'")
    at(page, "#details summary").click()
    sizes = "[...document.querySelectorAll('#details td.size')].map(cell => getComputedStyle(cell).whiteSpace)"
    assert page.evaluate(sizes) == ["nowrap"] * 3


def test_contents_open_as_a_drawer(small_page: Path, opening: Opening) -> None:
    page = opening(small_page, **PHONE)
    contents = at(page, "nav")
    expect(contents).not_to_be_visible()
    page.get_by_role("button", name="Contents").tap()
    expect(contents).to_be_visible()
    page.get_by_role("link", name="Splice index").first.tap()
    expect(at(page, "#section-splices h2")).to_be_visible()
    expect(contents).not_to_be_visible()
    page.get_by_role("button", name="Contents").tap()
    page.keyboard.press("Escape")
    expect(page.get_by_role("button", name="Contents")).to_be_focused()


def test_a_finger_need_not_hit_a_wire_squarely(demo: Path, opening: Opening) -> None:
    page = opening(demo, "sheet-22", **PHONE)
    spot = page.evaluate(
        """() => {
          const box = document.querySelector('#sheet-22 .paper').getBoundingClientRect();
          for (const wire of document.querySelectorAll('#sheet-22 g.wire')) {
            const line = wire.querySelector('path');
            const at = line.getPointAtLength(line.getTotalLength() / 2).matrixTransform(line.getScreenCTM());
            const off = document.elementFromPoint(at.x - 5, at.y);
            if (at.x > box.x + 30 && at.x < box.right - 30 && at.y > box.y + 30 && at.y < box.bottom - 30
                && off && !off.closest('g[data-circuit], g[data-item]')) return [at.x - 5, at.y, wire.dataset.circuit];
          }
        }"""
    )
    page.touchscreen.tap(spot[0], spot[1])
    expect(at(page, "#details h2")).to_contain_text(f"Circuit {spot[2]}")
    # The details leave room for the sheet, and the sheet stays within what they leave.
    paper, details = at(page, "#sheet-22 .paper").bounding_box(), at(page, "#details").bounding_box()
    assert paper is not None
    assert details is not None
    assert paper["y"] + paper["height"] <= details["y"]


@pytest.mark.parametrize(("width", "height"), [(360, 640), (740, 360), (1366, 768)])
def test_a_sheet_never_goes_under_the_details(small_page: Path, opening: Opening, width: int, height: int) -> None:
    """Whatever stands above it: a heading of two lines, references to other sheets."""
    page = opening(small_page, "sheet-38/item-K7", viewport={"width": width, "height": height})
    page.evaluate(
        "document.querySelector('#sheet-38 h3').append(' and a title as long as some are, on lines of its own')"
    )
    page.evaluate("location.hash = 'sheet-38/circuit-48'")
    expect(at(page, "#details h2")).to_contain_text("Circuit 48")
    paper, details = at(page, "#sheet-38 .paper").bounding_box(), at(page, "#details").bounding_box()
    assert paper is not None
    assert details is not None
    least = 224  # below that the window is scrolled, not the sheet
    assert paper["y"] + paper["height"] <= details["y"] or paper["height"] <= least
    assert details["height"] < height * 0.46
    assert at(page, "#details details").evaluate("one => one.open") is (height > 700)


def pinch(page: Page, x: float, y: float, wide: float, wider: float) -> None:
    """Two fingers about a spot, spread from `wide` to `wider` pixels."""
    client = page.context.new_cdp_session(page)

    def touch(kind: str, spread: float) -> None:
        points = [{"x": x - spread / 2, "y": y, "id": 0}, {"x": x + spread / 2, "y": y, "id": 1}]
        client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points if kind != "touchEnd" else []})

    touch("touchStart", wide)
    for step in range(1, 6):
        touch("touchMove", wide + (wider - wide) * step / 5)
    touch("touchEnd", wider)


def test_two_fingers_make_a_sheet_larger(demo: Path, opening: Opening) -> None:
    page = opening(demo, "sheet-22", **PHONE)
    width = "document.querySelector('#sheet-22 svg').getBoundingClientRect().width"
    before = page.evaluate(width)
    pinch(page, 190, 400, 80, 200)
    until(page, f"{width} > {before * 1.8}")
    assert page.evaluate("visualViewport.scale") == 1
