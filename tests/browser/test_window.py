"""What stands around the text: heads that stay, where the keyboard is, low windows, paper, help, addresses, other packs."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from renderers.document import Pack
from renderers.writers.html_folder import Other, write_html
from tests.browser.conftest import Desk, Opening, at, until
from tests.browser.test_screen import printed

DETAILS = "#details"
FOCUS = "document.activeElement"


def middle(page: Page, selector: str) -> float:
    box = at(page, selector).bounding_box()
    assert box is not None
    return box["y"] + box["height"] / 2


def sides(page: Page, selector: str) -> tuple[float, float]:
    """Where the first such element begins and ends, from the top of the window."""
    box = at(page, selector).first.bounding_box()
    assert box is not None
    return box["y"], box["y"] + box["height"]


@pytest.mark.parametrize(("width", "anchor"), [(1280, "wire-48B"), (1280, "cavity-C40_2e_7"), (390, "cavity-C40_2e_7")])
def test_heads_of_columns_stay_under_the_bar(desk: Desk, width: int, anchor: str) -> None:
    """Of a table that is wider than the window too."""
    page = desk(anchor, width, 400)
    until(page, f"document.querySelector('.at')?.id === {anchor!r}")
    row = f"#{anchor}"
    bar = sides(page, ".top")[1]
    until(page, f"document.querySelector({row!r}).closest('.wide').style.getPropertyValue('--way') !== ''")
    for above in (60.0, 8.0):
        page.evaluate(
            f"scrollBy(0, document.querySelector({row!r}).getBoundingClientRect().top - {bar + above})"
        )
        head = f"document.querySelector({row!r}).closest('table').tHead.getBoundingClientRect().top"
        until(page, f"Math.abs({head} - {bar}) < 3")
    box = f"document.querySelector({row!r}).closest('.wide')"
    page.evaluate(f"scrollBy(0, {box}.getBoundingClientRect().bottom - {bar + 10})")
    until(page, f"{box}.querySelector('thead').getBoundingClientRect().bottom - {box}.getBoundingClientRect().bottom < 3")
    assert page.evaluate(f"{box}.scrollTop") == 0


def test_a_page_opened_at_a_row_has_it_in_the_middle(demo: Path, opening: Opening) -> None:
    """The browser itself would put it right under the bar."""
    page = opening(demo, "wire-48B")
    expect(at(page, DETAILS)).to_be_visible()
    page.wait_for_timeout(200)
    bar, details = sides(page, ".top")[1], sides(page, DETAILS)[0]
    assert abs(middle(page, "#wire-48B") - (bar + details) / 2) < 40
    page.evaluate("scrollTo(0, 5000)")
    until(page, "history.state && history.state.y === 5000")
    page.reload()
    expect(at(page, DETAILS)).to_be_visible()
    page.wait_for_timeout(200)
    assert abs(page.evaluate("scrollY") - 5000) < 5


def test_the_keyboard_is_where_one_went(desk: Desk) -> None:
    page = desk("front")
    at(page, "nav a[href='#section-fuses']").press("Enter")
    expect(at(page, "#section-fuses h2")).to_be_focused()
    page.keyboard.press("]")
    expect(at(page, "#section-connectors h2")).to_be_focused()
    page.evaluate("location.hash = 'section-splices'")
    expect(at(page, "#section-splices h2")).to_be_focused()
    page.keyboard.press("/")
    page.keyboard.type("k7")
    page.keyboard.press("Escape")
    expect(at(page, "#section-splices h2")).to_be_focused()
    page.evaluate("location.hash = 'wire-48B'")
    expect(at(page, "#wire-48B")).to_be_focused()
    page.keyboard.press("d")
    expect(at(page, f"{DETAILS} a").first).to_be_focused()
    page.keyboard.press("Escape")
    expect(at(page, "#main")).to_be_focused()
    assert page.evaluate(f"{FOCUS}.localName") == "main"


def test_details_fold_where_nothing_lit_is_shown(desk: Desk) -> None:
    page = desk("wire-48B")
    facts = at(page, f"{DETAILS} dl")
    expect(facts).to_be_visible()
    page.evaluate("location.hash = 'section-cautions'")
    expect(facts).not_to_be_visible()
    at(page, DETAILS).get_by_role("button", name="More").click()
    expect(facts).to_be_visible()
    at(page, DETAILS).get_by_role("button", name="Less").click()
    expect(facts).not_to_be_visible()
    page.evaluate("location.hash = 'item-C51'")
    expect(facts).to_be_visible()


@pytest.mark.parametrize(("width", "height"), [(640, 400), (1280, 420)])
def test_in_a_low_window_the_details_are_one_line(
    small_page: Path, opening: Opening, width: int, height: int
) -> None:
    page = opening(small_page, "sheet-38/item-K7", viewport={"width": width, "height": height})
    top, bottom = sides(page, DETAILS)
    assert bottom - top < 40
    start, end = sides(page, "#sheet-38 .paper")
    assert end <= top + 1
    assert end - start >= 150


@pytest.mark.parametrize("address", ["item-C40", "cavity-C40_2e_7"])
def test_a_connector_that_was_asked_for_is_printed_alone(desk: Desk, tmp_path: Path, address: str) -> None:
    page = desk(address)
    until(page, f"document.querySelector('.at')?.id === {address!r}")
    info, text = printed(page, tmp_path)
    assert int(info.split("Pages:")[1].split()[0]) <= 3
    assert "C40 Tailgate hinge" in text.replace("  ", " ")
    assert "This part alone is printed" in text
    for other in ("Bulkhead power", "Trailer cut-off"):
        assert other not in text
    page.emulate_media(media="print")
    assert page.evaluate(f"getComputedStyle({FOCUS}).outlineStyle") == "none"
    page.emulate_media(media="null")


def test_a_connector_that_was_left_is_not_printed_alone(small_page: Path, opening: Opening, tmp_path: Path) -> None:
    page = opening(small_page, "item-C12", viewport={"width": 1280, "height": 400})
    page.evaluate("scrollTo(0, document.querySelector('#item-C51').offsetTop)")
    text = printed(page, tmp_path)[1]
    for name in ("C12 Bulkhead", "C40 Tailgate hinge", "C51 Rear screen"):
        assert name in text.replace("  ", " ")


def test_help_opens_at_its_head(small_page: Path, opening: Opening) -> None:
    page = opening(small_page, viewport={"width": 390, "height": 500})
    at(page, "#keys").click()
    expect(at(page, "#help-title")).to_be_focused()
    expect(at(page, "#help-title")).to_be_in_viewport()
    assert page.evaluate("document.querySelector('#help').scrollTop") == 0


def test_marks_where_colours_are_forced(small_page: Path, opening: Opening) -> None:
    page = opening(small_page, "wire-48C", forced_colors="active")
    colour = "getComputedStyle(document.querySelector({!r})).borderLeftColor"
    paper = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert page.evaluate(colour.format("nav a[aria-current]")) != paper
    assert page.evaluate(colour.format("nav a:not([aria-current])")) == paper
    assert page.evaluate("getComputedStyle(document.querySelector('#details tr.chosen')).outlineStyle") == "solid"


def test_an_address_that_is_not_there_says_so(small_page: Path, opening: Opening) -> None:
    page = opening(small_page, "nonsense%20here")
    alert = page.get_by_role("alert")
    expect(alert).to_have_text("“nonsense here” is not in this pack.")
    expect(alert).to_be_in_viewport()
    expect(at(page, "#front h2")).to_be_visible()
    page.evaluate("location.hash = 'sheet-38/item-K99'")
    expect(at(page, "#sheet-38").get_by_role("alert")).to_have_text("“item-K99” is not in this pack.")
    page.evaluate("location.hash = 'sheet-38/item-K7'")
    expect(alert).to_have_count(0)


def test_the_bar_tells_the_variant_on_a_phone(small_page: Path, opening: Opening) -> None:
    page = opening(small_page, viewport={"width": 390, "height": 700})
    expect(at(page, ".top .variant")).to_have_text("T1")
    assert at(page, ".top h1").text_content() == "T1 TITLE"


def test_packs_of_a_line_lead_to_each_other(small_pack: Pack, tmp_path: Path, opening: Opening) -> None:
    line = [Other("T1", "T1", "Short"), Other("T2", "T2", "Long")]
    for other in line:
        (tmp_path / other.folder).mkdir()
    (tmp_path / "T1" / "index.html").write_bytes(write_html(small_pack, line)["index.html"])
    (tmp_path / "T2" / "index.html").write_text("<title>T2</title>", "utf-8")
    page = opening(tmp_path / "T1" / "index.html")
    for place in ("nav", "#front", "#section-series"):
        assert at(page, f"{place} a[href='../index.html']").count() == 1
    page.evaluate("location.hash = 'section-series'")
    at(page, "#section-series").get_by_role("link", name="T2 Long").click()
    until(page, "document.title === 'T2'")
