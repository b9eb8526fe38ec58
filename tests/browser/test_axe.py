"""Accessibility by axe-core: nothing serious in any view, in the light, in the dark and on a phone."""

from __future__ import annotations

from pathlib import Path

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

from tests.browser.conftest import Opening

# What depends on colours is looked at in both schemes, all else in the light.
RULES = {"light": [], "dark": ["color-contrast", "link-in-text-block"]}
# Views that are not open are taken out of the document meanwhile: axe-core would look through all of them each time.
# What stands around the views is the same in all; in the dark, drawings are as in the light, on white paper.
RUN = """async ([rules, frame, drawings]) => {
  const away = [...document.querySelectorAll("main > [hidden], main > :not([hidden]) [hidden]")].map(view => {
    const place = document.createComment("");
    view.replaceWith(place);
    return [place, view];
  });
  const around = [...document.body.children].filter(e => e.checkVisibility() && e.localName !== "main");
  const include = [...(frame ? around : []), ...document.querySelectorAll("main > *")];
  const exclude = drawings ? [] : [...document.querySelectorAll("main .paper")];
  const options = { resultTypes: ["violations"], ...(rules.length && { runOnly: { type: "rule", values: rules } }) };
  const { violations } = await axe.run({ include, exclude }, options);
  away.forEach(([place, view]) => place.replaceWith(view));
  return violations.filter(one => ["serious", "critical"].includes(one.impact)).map(one => [one.id, one.nodes[0].html]);
}"""
# Goes through views and leaves what it finds in `window.found`. The contents differ by the sort of view that is open.
START = f"""([views, rules, drawings]) => {{
  const sorts = ["front", "section-cautions", "section-fuses", "sheet-38", "wire-48C", "sheet-38/circuit-48"];
  const look = {RUN};
  window.found = (async () => {{
    const found = [];
    for (const view of views) {{
      const there = new Promise(open => addEventListener("hashchange", () => setTimeout(open), {{ once: true }}));
      location.hash = view;
      await there;
      found.push(...(await look([rules, sorts.includes(view), drawings])).map(fault => [view, ...fault]));
    }}
    return found;
  }})();
}}"""
# What concerns the document as a whole, over all of it; of ids that stand twice axe-core is never sure.
WHOLE = """async () => {
  const { violations, incomplete } = await axe.run({ rules: { "color-contrast": { enabled: false } } });
  const unsure = incomplete.filter(one => one.id === "duplicate-id-aria");
  return [...violations, ...unsure].filter(one => ["serious", "critical"].includes(one.impact)).map(one => one.id);
}"""


def faults(page: Page, scheme: str = "light", *, frame: bool = True) -> list[tuple[str, str]]:
    """What axe-core calls serious or critical in what is shown: the rule, and the first element at fault. `frame` says
    whether that takes in what stands around the view."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)
    return [(rule, html) for rule, html in page.evaluate(RUN, [RULES[scheme], frame, scheme == "light"])]


def test_every_view(small_page: Path, opening: Opening) -> None:
    """In both schemes at the same time, each in a window of its own."""
    windows = {scheme: opening(small_page, color_scheme=scheme) for scheme in RULES}
    for scheme, page in windows.items():
        views = page.evaluate("[...document.querySelectorAll('.part, .page')].map(view => view.id)")
        assert len(views) > 12
        page.evaluate(AXE_SCRIPT)
        page.evaluate(START, [[*views, "wire-48C", "item-K7", "sheet-38/circuit-48"], RULES[scheme], scheme == "light"])
    for page in windows.values():
        assert page.evaluate("window.found") == []


def test_the_document_as_a_whole(small_page: Path, opening: Opening) -> None:
    page = opening(small_page)
    page.evaluate(AXE_SCRIPT)
    assert page.evaluate(WHOLE) == []
    page.evaluate("document.querySelector('.short').id = 'front-title'")
    assert "duplicate-id-aria" in page.evaluate(WHOLE)


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
