"""Accessibility by axe-core: nothing serious in any view, in the light, in the dark and on a phone."""

from __future__ import annotations

from pathlib import Path

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

from tests.browser.conftest import Opening

# What depends on colours is looked at in both schemes, all else in the light.
RULES = {"light": [], "dark": ["color-contrast", "link-in-text-block"]}
RUN = """async rules => {
  const shown = [...document.body.children].filter(e => e.checkVisibility() && e.localName !== "main");
  const include = [...shown, ...document.querySelectorAll("main > :not([hidden])")];
  const options = { resultTypes: ["violations"], ...(rules.length && { runOnly: { type: "rule", values: rules } }) };
  const { violations } = await axe.run({ include }, options);
  return violations.filter(one => ["serious", "critical"].includes(one.impact)).map(one => [one.id, one.nodes[0].html]);
}"""


def faults(page: Page, scheme: str = "light") -> list[tuple[str, str]]:
    """What axe-core calls serious or critical in what is shown: the rule, and the first element at fault."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)
    return [(rule, html) for rule, html in page.evaluate(RUN, RULES[scheme])]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_view(small_page: Path, opening: Opening, scheme: str) -> None:
    page = opening(small_page, color_scheme=scheme)
    views = page.evaluate("[...document.querySelectorAll('.part, .page')].map(view => view.id)")
    assert len(views) > 12
    for view in [*views, "wire-48C", "item-K7", "sheet-38/circuit-48"]:
        page.evaluate("view => { location.hash = view; }", view)
        assert faults(page, scheme) == [], view


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_search_help_and_drawer(small_page: Path, opening: Opening, scheme: str) -> None:
    page = opening(small_page, color_scheme=scheme)
    page.locator("#search").fill("c40")
    assert faults(page, scheme) == []
    page.keyboard.press("Escape")
    page.keyboard.press("?")
    assert faults(page, scheme) == []
    page.keyboard.press("Escape")
    page.set_viewport_size({"width": 375, "height": 720})
    page.locator("#menu").click()
    assert faults(page, scheme) == []


def test_a_fault_would_be_found(small_page: Path, opening: Opening) -> None:
    page = opening(small_page)
    page.evaluate("document.querySelector('#keys').textContent = ''")
    page.add_style_tag(content=".short { color: #bbb !important; }")
    assert {rule for rule, _ in faults(page)} == {"button-name", "color-contrast"}
