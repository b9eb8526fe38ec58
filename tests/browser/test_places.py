"""What is chosen is lit where it stands and stays in sight: plugs, fuse blocks, points, rows, parts of a pack."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from renderers.document import Pack
from renderers.part import Part, part_of
from renderers.writers.html_folder import write_html
from tests.browser.conftest import Desk, Opening, at, until

DETAILS = "#details"


def top_of(page: Page, selector: str) -> float:
    return float(page.evaluate("name => document.querySelector(name).getBoundingClientRect().top", selector))


@pytest.fixture(scope="module")
def part_page(small_pack: Pack, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sheets of the small vehicle with its fuses, without what else is told of its things."""
    path = tmp_path_factory.mktemp("part") / "index.html"
    path.write_bytes(write_html(part_of(small_pack, Part(("38", "39"), ("fuses",))))["index.html"])
    return path


def test_a_thing_that_a_part_of_a_pack_does_not_describe_is_lit(part_page: Path, opening: Opening) -> None:
    page = opening(part_page, "sheet-38")
    at(page, "#sheet-38 svg [data-item=K7] text").first.click()
    expect(at(page, f"{DETAILS} h2")).to_contain_text("K7")
    at(page, "#sheet-38 svg .label[data-wire='48A'] text").first.click()
    expect(at(page, f"{DETAILS} h2")).to_contain_text("Circuit 48")
    facts = at(page, f"{DETAILS} dt").all_text_contents()
    assert "Sheets" in facts
    assert not {"Colour", "Size"} & set(facts)
    assert "" not in at(page, f"{DETAILS} dd").all_text_contents()
    page.keyboard.press("f")
    at(page, "#sheet-39 svg .arrow text").first.click()
    expect(at(page, "#sheet-38 svg")).to_be_visible()
    expect(page.get_by_role("alert")).to_have_count(0)


@pytest.mark.parametrize(
    ("address", "selector"),
    [
        ("sheet-38 (2)/c51", ".terminal[data-terminal='C51.1'].lit"),
        ("sheet-22/c30", "[data-item=A5].lit"),
        ("sheet-10/fb1", "[data-item=F30].lit"),
        ("sheet-10/fb2", "[data-item=MAIN-BUS].lit"),
    ],
)
def test_what_has_no_drawing_of_its_own_is_lit_by_its_parts(desk: Desk, address: str, selector: str) -> None:
    """A plug by its terminals, or by its component; a fuse block by its fuses and buses."""
    page = desk(address)
    expect(at(page, f".page:not([hidden]) svg {selector}").first).to_be_in_viewport()


def test_a_fuse_block_is_followed_from_the_index(desk: Desk) -> None:
    page = desk("section-index")
    at(page, "#table-index-ids tr[data-item=FB1] a[href^='#sheet-']").first.click()
    until(page, "location.hash.endsWith('/item-FB1')")
    assert page.evaluate("document.querySelectorAll('.page:not([hidden]) svg .lit').length")
    here = page.evaluate("location.hash")
    page.keyboard.press("f")
    until(page, f"location.hash !== {here!r}")
    until(page, "document.querySelectorAll('.page:not([hidden]) svg .lit').length > 0")


@pytest.mark.parametrize(("point", "marked"), [("C40.7", 2), ("C40.70", 0)])
def test_an_address_can_name_a_point(desk: Desk, point: str, marked: int) -> None:
    """Of a connector both halves."""
    page = desk(f"sheet-38 (2)/c40/{point}")
    until(page, "document.querySelectorAll('.page:not([hidden]) .lit').length > 0")
    points = at(page, ".point")
    assert points.count() == marked
    if marked:
        expect(points.first).to_be_in_viewport()
        assert points.first.get_attribute("data-terminal") == "C40.7"
    page.keyboard.press("Escape")
    assert points.count() == 0


@pytest.mark.parametrize("height", [420, 800])
def test_what_is_chosen_on_a_sheet_stays_in_sight(desk: Desk, height: int) -> None:
    """The details that rise at its choice would lie on it."""
    page = desk("sheet-38", 1280, height)
    expect(at(page, "#sheet-38 .tools")).to_be_visible()
    spot = "#sheet-38 .terminal[data-terminal='K7.87']"
    low = height - 110
    page.evaluate(
        f"document.querySelector('#sheet-38 .paper').scrollTop += {top_of(page, spot)} - {low};"
        f"scrollBy(0, document.querySelector({spot!r}).getBoundingClientRect().top - {low})"
    )
    box = at(page, spot).bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(at(page, DETAILS)).to_be_visible()
    assert top_of(page, spot) + box["height"] <= top_of(page, DETAILS)
    assert top_of(page, spot) >= top_of(page, "#sheet-38 .paper")
    assert at(page, f"{spot}.lit").count() == 1


def test_a_row_stays_in_sight_when_chosen_and_when_the_details_grow(small_page: Path, opening: Opening) -> None:
    page = opening(small_page, "section-wires", viewport={"width": 390, "height": 700})
    row = "#table-wires tr[data-wire='48C']"
    page.evaluate(f"scrollBy(0, document.querySelector({row!r}).getBoundingClientRect().bottom - 690)")
    box = at(page, row).bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + 10, box["y"] + 8)
    expect(at(page, DETAILS)).to_be_visible()
    for summary in (None, at(page, f"{DETAILS} summary")):
        if summary:
            summary.click()
            until(page, "document.querySelector('#details details').open")
            page.wait_for_timeout(100)
        assert top_of(page, row) + box["height"] <= top_of(page, DETAILS) + 1


def test_sheets_of_a_row_light_its_circuit(desk: Desk) -> None:
    page = desk("circuit-48")
    at(page, "#circuit-48 a[href^='#sheet-']").first.click()
    until(page, "location.hash.endsWith('/circuit-48')")
    expect(at(page, ".page:not([hidden]) svg .wire.lit").first).to_be_in_viewport()


def test_a_sheet_leads_to_its_voltages(desk: Desk) -> None:
    page = desk("sheet-38")
    at(page, "#sheet-38").get_by_role("link", name="Rear screen on").click()
    expect(at(page, ".page:not([hidden]) h3")).to_contain_text("Rear screen on")
    at(page, ".page:not([hidden])").get_by_role("link", name="38", exact=True).click()
    expect(at(page, "#sheet-38 h3")).to_be_visible()
