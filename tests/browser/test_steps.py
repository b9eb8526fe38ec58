"""A fault chart gone through step by step: answers as buttons and by number, taken back, ended; the table on paper."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from renderers.around import Around
from renderers.pack import build_pack
from renderers.sheets import draw_sheets
from renderers.writers.html_folder import write_html
from tests.browser.conftest import Opening, until
from tests.browser.test_axe import faults
from tests.isolation.vehicles import LAMP
from tests.network.circuits import variant_of

CHART = "chart-left-lamp-dark-right-lamp-lit"


@pytest.fixture(scope="module")
def charts(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A page with the fault charts of two lamps."""
    variant = variant_of(LAMP + 'sheet 1 "Lamps" { circuits 1 2 }\n')
    pack = build_pack(variant, draw_sheets(variant), around=Around(faults="source"))
    path = tmp_path_factory.mktemp("charts") / "index.html"
    path.write_bytes(write_html(pack)["index.html"])
    return path


def entered(page: Page) -> Locator:
    """The step-through of the chart, entered and past the verifying."""
    chart = page.locator(f"#{CHART}")
    chart.get_by_role("button", name="Step by step").click()
    box = chart.locator(".through")
    expect(box.locator("h4")).to_have_text("Verify the complaint")
    expect(box.locator("h4")).to_be_focused()
    expect(chart.locator("table.steps")).not_to_be_visible()
    box.get_by_role("button", name="It is so").click()
    expect(box.locator("h4")).to_have_text("Step 1")
    return box


def to_the_end(page: Page, box: Locator) -> int:
    """Answers with the first answer until a cause is reached; how many tests that took."""
    for tests in range(20):
        if box.locator("h4").text_content() == "The cause":
            return tests
        page.keyboard.press("1")
    raise AssertionError("no end")


def test_answers_lead_to_the_cause_and_are_taken_back(charts: Path, opening: Opening) -> None:
    page = opening(charts, CHART)
    box = entered(page)
    first = page.locator(f"#{CHART} tr.step").first
    left = int(first.get_attribute("data-left") or 0)
    expect(box.locator(".left")).to_have_text(f"{left} causes left")
    tests = to_the_end(page, box)
    assert tests >= 2
    cause = page.locator(f"#{CHART} tr:has(> td.id):not(.step)").filter(has_text=box.locator(".what").inner_text())
    expect(cause).to_have_count(1)
    expect(box).to_contain_text("must be gone")
    expect(box.locator(".told li")).to_have_count(tests)
    page.keyboard.press("Backspace")
    expect(box.locator(".told li")).to_have_count(tests - 1)
    box.get_by_role("button", name="Take back").click()
    expect(box.locator("h4")).to_contain_text("Step")
    box.get_by_role("button", name="From the beginning").click()
    expect(box.locator("h4")).to_have_text("Verify the complaint")


def test_every_answer_of_the_table_is_a_button(charts: Path, opening: Opening) -> None:
    page = opening(charts, CHART)
    box = entered(page)
    told = page.locator(f"#{CHART} tr.step").first.locator(".answers span").all_text_contents()
    assert box.locator(".choices button").all_text_contents() == told
    assert len(told) >= 2


def test_the_step_at_hand_is_in_sight(charts: Path, opening: Opening) -> None:
    page = opening(charts, CHART, viewport={"width": 390, "height": 640})
    page.evaluate("location.hash = 'wire-1A'")
    expect(page.locator("#details dl")).to_be_visible()
    page.evaluate(f"location.hash = {CHART!r}")
    expect(page.locator("#details dl")).not_to_be_visible()
    opener = page.locator(f"#{CHART}").get_by_role("button", name="Step by step")
    opener.evaluate("one => scrollBy(0, one.getBoundingClientRect().bottom - 580)")
    box = entered(page)
    expect(box).to_be_in_viewport(ratio=1)
    page.keyboard.press("1")
    for part in (box.locator("h4"), box.locator(".answer").last):
        expect(part).to_be_in_viewport(ratio=1)
    top = page.locator("#details").bounding_box()
    answer = box.locator(".answer").last.bounding_box()
    assert top is not None
    assert answer is not None
    assert answer["y"] + answer["height"] <= top["y"]


def test_the_table_leads_to_the_place_too(charts: Path, opening: Opening) -> None:
    """With the point marked at which the test is made."""
    page = opening(charts, CHART)
    step = page.locator(f"#{CHART} tr.step[data-at]").first
    point = step.get_attribute("data-at")
    step.locator("a[href^='#sheet-']").first.click()
    until(page, "document.querySelectorAll('#sheet-1 svg .lit').length > 0")
    expect(page.locator(f"#sheet-1 svg .point[data-terminal='{point}']").first).to_be_in_viewport()


def test_the_place_is_lit_on_its_sheet_and_back_returns(charts: Path, opening: Opening) -> None:
    page = opening(charts, CHART)
    box = entered(page)
    place = box.locator("a[href*='#sheet-1/']")
    expect(place).to_have_count(1)
    place.click()
    expect(page.locator("#sheet-1 svg")).to_be_visible()
    until(page, "document.querySelectorAll('#sheet-1 svg .lit').length > 0")
    page.go_back()
    expect(box.locator("h4")).to_have_text("Step 1")
    expect(box).to_be_visible()


def test_the_table_comes_back_and_goes_on_paper(charts: Path, opening: Opening) -> None:
    page = opening(charts, CHART)
    box = entered(page)
    table = page.locator(f"#{CHART} table.steps")
    page.emulate_media(media="print")
    expect(table).to_be_visible()
    expect(box).not_to_be_visible()
    page.emulate_media(media="screen")
    box.get_by_role("button", name="Show the whole table").click()
    expect(table).to_be_visible()
    expect(page.locator(f"#{CHART}").get_by_role("button", name="Step by step")).to_be_focused()


def test_without_a_script_the_table_is_there(charts: Path, browser: Browser) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{charts.as_uri()}#{CHART}")
    expect(page.locator(f"#{CHART} table.steps")).to_be_visible()
    expect(page.get_by_role("button", name="Step by step")).to_have_count(0)
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_accessible_at_every_stage(charts: Path, opening: Opening, scheme: str) -> None:
    page = opening(charts, CHART, color_scheme=scheme)
    assert faults(page, scheme) == []
    box = entered(page)
    assert faults(page, scheme, frame=False) == []
    to_the_end(page, box)
    assert faults(page, scheme, frame=False) == []
    page.set_viewport_size({"width": 375, "height": 720})
    assert faults(page, scheme) == []


def test_a_chart_is_found_by_the_words_of_its_complaint(charts: Path, opening: Opening) -> None:
    page = opening(charts)
    page.locator("#search").fill("lamp dark")
    expect(page.locator("#found [role=option]").first).to_contain_text("Left lamp dark, right lamp lit")
    page.keyboard.press("Enter")
    expect(page.locator(f"#{CHART} h3")).to_be_in_viewport()
