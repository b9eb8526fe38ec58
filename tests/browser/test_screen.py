"""The demo pack at a desk: found by search, lit, followed from sheet to sheet, turned under the hand, printed."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import Desk, Opening, at, until

DETAILS = "#details"


def hash_of(page: Page) -> str:
    return str(page.evaluate("location.hash"))


def width_of(drawing: Locator) -> float:
    box = drawing.bounding_box()
    assert box is not None
    return box["width"]


def choose(page: Page, selector: str) -> None:
    """A click on the middle of the first line of a drawn thing, as a hand would."""
    spot = page.evaluate(
        """selector => {
          const line = document.querySelector(selector);
          const at = line.getPointAtLength(line.getTotalLength() / 2).matrixTransform(line.getScreenCTM());
          return [at.x, at.y];
        }""",
        selector,
    )
    page.mouse.click(*spot)


def test_an_address_opens_a_single_sheet_and_back_works(demo: Path, opening: Opening) -> None:
    page = opening(demo, "sheet-38")
    expect(at(page, "#sheet-38 h3")).to_contain_text("Sheet 38")
    expect(at(page, ".page:not([hidden])")).to_have_count(1)
    expect(at(page, "nav [aria-current]")).to_have_text(re.compile("Sheet 38"))
    page.evaluate("location.hash = 'wire-48B'")
    expect(at(page, "#wire-48B")).to_be_in_viewport()
    expect(at(page, DETAILS)).to_contain_text("Circuit 48")
    page.go_back()
    expect(at(page, "#sheet-38 h3")).to_be_visible()
    expect(at(page, "#section-wires h2")).not_to_be_visible()


@pytest.mark.parametrize(
    "address", ["main", "no-such-thing", "%E0%A4", "sheet-12000/wire-1", "section-wires/wire-none"]
)
def test_an_address_of_nothing_opens_the_pack_all_the_same(small_page: Path, opening: Opening, address: str) -> None:
    page = opening(small_page, address)
    expect(at(page, ".part:not([hidden]) h2").first).to_be_visible()
    expect(at(page, ".part:not([hidden])")).to_have_count(1)
    page.keyboard.press("]")
    expect(at(page, ".part:not([hidden])")).to_have_count(1)


@pytest.mark.parametrize(
    ("address", "meant", "shown"),
    [
        ("item-k7", "item-K7", "#item-K7"),
        ("k7", "item-K7", "#item-K7"),
        ("48b", "wire-48B", "#wire-48B"),
        ("C18.54", "cavity-C18_2e_54", "#cavity-C18_2e_54"),
        ("cavity-c18.54", "cavity-C18_2e_54", "#cavity-C18_2e_54"),
        ("sheet-p (2)", "sheet-P_20__28_2_29_", "#sheet-P_20__28_2_29_ h3"),
        ("sheet-38/k7", "sheet-38/item-K7", "#sheet-38 svg [data-item=K7].lit"),
    ],
)
def test_an_address_typed_by_hand_need_not_be_exact(desk: Desk, address: str, meant: str, shown: str) -> None:
    page = desk(address)
    until(page, f"location.hash === {('#' + meant)!r}")
    expect(at(page, shown).first).to_be_in_viewport()


def test_the_window_is_named_after_its_view(desk: Desk) -> None:
    """So that the list of places to go back to, a bookmark and a printed page say which they are."""
    page = desk("sheet-38")
    plain = "Sandpiper utility truck, four-wheel drive: Wiring"
    until(page, f"document.title === 'Sheet 38 Rear screen and mirror heaters – {plain}'")
    page.evaluate("location.hash = 'wire-48B'")
    until(page, f"document.title === 'Wire list – {plain}'")
    page.evaluate("location.hash = 'front'")
    until(page, f"document.title === '{plain}'")


def test_back_returns_to_the_line_that_was_left(demo: Path, opening: Opening) -> None:
    page = opening(demo, "section-wires")
    page.evaluate("scrollTo(0, 5000)")
    until(page, "history.state && history.state.y === 5000")
    page.evaluate("location.hash = 'section-colours'")
    expect(at(page, "#section-colours h2")).to_be_in_viewport()
    page.go_back()
    until(page, "Math.abs(scrollY - 5000) < 5")


def test_a_wire_is_chosen_and_followed_to_another_sheet(desk: Desk) -> None:
    page = desk("sheet-22")
    wire = str(at(page, "#sheet-22 svg g.wire").first.get_attribute("data-wire"))
    circuit = str(at(page, "#sheet-22 svg g.wire").first.get_attribute("data-circuit"))
    choose(page, f"#sheet-22 g.wire[data-wire='{wire}'] path")
    details = at(page, DETAILS)
    expect(details.locator("h2")).to_contain_text(f"Circuit {circuit}")
    row = at(page, f"#wire-{wire} td")
    chosen = details.locator("tr.chosen td")
    for place, column in enumerate((3, 4, 5, 6)):
        expect(chosen.nth(place)).to_contain_text(row.nth(column).text_content() or "?")
    code = row.nth(6).text_content()
    words = at(page, "#table-colours-used tr", has=page.get_by_text(code or "", exact=True)).locator("td").nth(1)
    expect(chosen.nth(3)).to_contain_text(words.text_content() or "?")
    lit = page.evaluate("[...document.querySelectorAll('.lit')].map(e => e.dataset.circuit ?? e.dataset.circuits)")
    assert len(lit) > 3
    assert all(circuit in circuits.split() for circuits in lit)
    other = details.locator("dd a[href^='#sheet-']:not([aria-current])").first
    goal = str(other.get_attribute("href")).lstrip("#").split("/")[0]
    other.click()
    expect(at(page, f"#{goal} svg g.wire.lit[data-circuit='{circuit}']").first).to_be_in_viewport()
    expect(details.locator("a[aria-current=page]")).to_be_visible()
    page.keyboard.press("Escape")
    assert at(page, ".lit").count() == 0
    expect(details).not_to_be_visible()


def test_the_details_name_fuse_colour_and_sheets(desk: Desk) -> None:
    page = desk("wire-48B")
    facts = at(page, f"{DETAILS} dl")
    expect(facts).to_contain_text("BU/WH blue with white tracer")
    expect(facts).to_contain_text("6 mm², 2.5 mm²")
    expect(facts).to_contain_text("F9 25 A")
    expect(at(page, f"{DETAILS} tbody tr")).to_have_count(3)
    page.evaluate("location.hash = 'item-K7'")
    expect(at(page, f"{DETAILS} h2")).to_have_text("K7 Rear screen relay")
    expect(facts).to_contain_text("relay")
    expect(facts).to_contain_text("behind the glove-box lid")
    expect(at(page, f"{DETAILS} tbody tr")).to_have_count(4)


def test_the_details_of_a_plug_name_the_sheets_of_its_component(desk: Desk) -> None:
    page = desk("item-C51")
    at(page, "#item-C51 h3").click()
    facts = at(page, DETAILS).locator("div", has=at(page, "dt", has_text=re.compile("^Sheets$")))
    expect(facts.get_by_role("link")).to_have_text(["38 (2)"])


def test_an_arrow_leads_to_its_twin_and_back(desk: Desk) -> None:
    page = desk("sheet-22")
    arrow = at(page, "#sheet-22 svg .arrow[data-wire]").first
    wire, sheet = (
        arrow.get_attribute("data-wire"),
        (arrow.locator("text").first.text_content() or "").removeprefix("sheet "),
    )
    arrow.locator("text").first.click()
    expect(at(page, ".page:not([hidden]) h3")).to_contain_text(f"Sheet {sheet} ")
    twin = at(page, f".page:not([hidden]) svg .found[data-wire='{wire}']")
    expect(twin).to_be_in_viewport()
    expect(at(page, DETAILS)).to_contain_text(f"wire {wire}")
    twin.locator("text, path").first.click(force=True)
    expect(at(page, "#sheet-22 h3")).to_be_visible()
    expect(at(page, "#sheet-22 svg .found")).to_have_attribute("data-wire", wire or "")
    page.go_back()
    expect(at(page, ".page:not([hidden]) h3")).to_contain_text(f"Sheet {sheet} ")


def test_a_sheet_named_in_a_row_opens_with_the_thing_in_view(desk: Desk) -> None:
    page = desk("wire-48B")
    at(page, "#wire-48B a[href^='#sheet-']").first.click()
    assert hash_of(page).endswith("/wire-48B")
    expect(at(page, ".page:not([hidden]) svg .found[data-wire='48B']")).to_be_in_viewport()


def test_search_ranks_and_says_what_and_where(desk: Desk) -> None:
    page = desk("front")
    hits = at(page, "#found li")
    for query, first, says in (
        ("k7", "K7", "relay"),
        ("48", "48", "circuit"),
        ("48b", "48B", "wire"),
        ("c40 7", "C40.7", "cavity"),
        ("C40.7", "C40.7", "cavity"),
        ("rear screen rel", "K7", "relay"),
        ("tailgate hin", "C40", "connector"),
    ):
        at(page, "#search").fill(query)
        expect(hits.first.locator("strong")).to_have_text(first)
        expect(hits.first.locator("small span")).to_have_text(says)
    at(page, "#search").fill("c40.7")
    expect(hits.first.locator("small")).to_contain_text("wire 48B, 48C")
    expect(at(page, "#count")).to_have_text(re.compile(r"\d+ found"))
    page.keyboard.press("Enter")
    expect(at(page, "#cavity-C40_2e_7")).to_be_in_viewport()


def test_a_sheet_grows_shrinks_and_is_drawn_along(small_page: Path, opening: Opening) -> None:
    page = opening(small_page, "sheet-38")
    paper, drawing = at(page, "#sheet-38 .paper"), at(page, "#sheet-38 svg")
    room = paper.bounding_box()
    assert room is not None
    plain = width_of(drawing)
    page.get_by_role("button", name="Larger").click()
    assert abs(width_of(drawing) / plain - 1.25) < 0.01
    page.keyboard.press("-")
    assert abs(width_of(drawing) / plain - 1) < 0.01
    page.keyboard.press("w")
    box = drawing.bounding_box()
    assert box is not None
    assert box["height"] <= room["height"]
    assert box["width"] <= room["width"]
    page.keyboard.press("0")
    assert room["width"] * 0.95 < width_of(drawing) <= room["width"]
    # The spot under the pointer stays under it.
    x, y = room["x"] + 500, room["y"] + 200
    under = "([x, y]) => { const b = document.querySelector('#sheet-38 svg').getBoundingClientRect(); return (x - b.x) / b.width; }"
    page.mouse.move(x, y)
    before = page.evaluate(under, [x, y])
    page.keyboard.down("Control")
    page.mouse.wheel(0, -300)
    page.keyboard.up("Control")
    until(page, f"document.querySelector('#sheet-38 svg').getBoundingClientRect().width > {plain * 2}")
    assert abs(page.evaluate(under, [x, y]) - before) < 0.005
    left = paper.evaluate("paper => paper.scrollLeft")
    page.mouse.down()
    page.mouse.move(x - 80, y - 10, steps=4)
    page.mouse.up()
    assert abs(paper.evaluate("paper => paper.scrollLeft") - left - 80) < 2
    expect(at(page, DETAILS)).not_to_be_visible()
    page.keyboard.press("ArrowRight")
    until(page, f"document.querySelector('#sheet-38 .paper').scrollLeft > {left + 85}")


def test_at_the_edge_of_a_sheet_the_window_goes_on(small_page: Path, opening: Opening) -> None:
    """Below a sheet stand its circuits: whoever has scrolled to its end must get there."""
    page = opening(small_page, "sheet-38", viewport={"width": 1280, "height": 500})
    page.keyboard.press("w")
    box = at(page, "#sheet-38 .paper").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 40, box["y"] + 40)
    page.mouse.wheel(0, 400)
    until(page, "scrollY > 50")


def test_a_fitted_sheet_fits_again_when_the_window_changes(small_page: Path, opening: Opening) -> None:
    page = opening(small_page, "sheet-38")
    drawing, room = at(page, "#sheet-38 svg"), "document.querySelector('#sheet-38 .paper').clientWidth"
    wide = width_of(drawing)
    page.set_viewport_size({"width": 1000, "height": 800})
    until(page, f"document.querySelector('#sheet-38 svg').getBoundingClientRect().width <= {room}")
    narrow = width_of(drawing)
    assert narrow < wide
    page.keyboard.press("+")
    page.set_viewport_size({"width": 1280, "height": 800})
    page.keyboard.press("]")
    page.keyboard.press("[")
    assert abs(width_of(drawing) / narrow - 1.25) < 0.01
    page.keyboard.press("0")
    assert abs(width_of(drawing) - wide) < 1


def test_what_is_lit_and_chosen_can_be_told_where_colours_are_forced(small_page: Path, opening: Opening) -> None:
    page = opening(small_page, "wire-48C", forced_colors="active")
    assert page.evaluate("getComputedStyle(document.querySelector('#wire-48C')).outlineStyle") == "solid"
    at(page, "#search").fill("k7")
    chosen = "getComputedStyle(document.querySelector('#found [aria-selected=true]'))"
    assert page.evaluate(f"{chosen}.outlineStyle") == "solid"


def test_all_by_keyboard(demo: Path, opening: Opening) -> None:
    page = opening(demo)
    page.keyboard.press("Tab")
    expect(at(page, ".skip")).to_be_focused()
    expect(at(page, ".skip")).to_be_in_viewport()
    page.keyboard.press("/")
    page.keyboard.type("48b")
    page.keyboard.press("Enter")
    expect(at(page, "#wire-48B")).to_be_focused()
    page.keyboard.press("f")
    expect(at(page, ".page:not([hidden]) .paper")).to_be_focused()
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
    expect(at(page, ".page:not([hidden]) svg .wire.lit").first).to_be_in_viewport()
    page.keyboard.press("d")
    expect(at(page, f"{DETAILS} a").first).to_be_focused()
    page.keyboard.press("Escape")
    expect(at(page, DETAILS)).not_to_be_visible()
    page.keyboard.press("l")
    first = at(page, f"{DETAILS} h2").text_content()
    page.keyboard.press("l")
    assert at(page, f"{DETAILS} h2").text_content() != first
    here = hash_of(page).split("/")[0]
    page.keyboard.press("]")
    assert hash_of(page) != here
    page.keyboard.press("[")
    assert hash_of(page) == here
    page.keyboard.press("?")
    expect(at(page, "#help")).to_be_visible()
    for words in ("search", "follow what is lit", "sheet larger"):
        expect(at(page, "#help")).to_contain_text(words)
    page.keyboard.press("Escape")
    expect(at(page, "#help")).not_to_be_visible()


def test_below_a_sheet_stand_its_circuits_and_ways_on(desk: Desk) -> None:
    page = desk("sheet-22")
    drawn = page.evaluate(
        "[...new Set([...document.querySelectorAll('#sheet-22 g.wire')].map(e => e.dataset.circuit))]"
    )
    buttons = at(page, "#sheet-22 .beside button")
    assert sorted(buttons.all_text_contents()) == sorted(drawn)
    buttons.first.focus()
    page.keyboard.press("Enter")
    expect(at(page, DETAILS)).to_contain_text(f"Circuit {buttons.first.text_content()}")
    way = at(page, "#sheet-22 .beside a").first
    sheet = way.text_content()
    way.focus()
    page.keyboard.press("Enter")
    expect(at(page, ".page:not([hidden]) h3")).to_contain_text(f"S{str(sheet)[1:]} ")


def test_drawings_keep_white_paper_and_true_colours_in_the_dark(small_page: Path, opening: Opening) -> None:
    page = opening(small_page, "sheet-38", color_scheme="dark")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(22, 22, 21)"
    assert (
        page.evaluate("getComputedStyle(document.querySelector('#sheet-38 .paper')).backgroundColor")
        == "rgb(255, 255, 255)"
    )
    strokes = "[...document.querySelectorAll('#sheet-38 g.wire path')].map(e => getComputedStyle(e).stroke)"
    dark = page.evaluate(strokes)
    page.emulate_media(color_scheme="light")
    assert page.evaluate(strokes) == dark
    assert len(set(dark)) > 2


def printed(page: Page, folder: Path) -> tuple[str, str]:
    """The open view as the browser prints it: what `pdfinfo` says of it, and its text."""
    path = folder / "printed.pdf"
    path.write_bytes(page.pdf(prefer_css_page_size=True))
    info = subprocess.run(["pdfinfo", path], capture_output=True, text=True, check=True).stdout
    text = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True, check=True).stdout
    return info, text


@pytest.mark.parametrize("lie", ["lying", "upright"])
def test_a_sheet_prints_on_one_page_the_way_it_lies(desk: Desk, tmp_path: Path, lie: str) -> None:
    page = desk("front")
    name = at(page, f".page:has(> .{lie})").first.get_attribute("id")
    page.evaluate("name => { location.hash = name; }", name)
    labels = set(at(page, f"#{name} svg .label text[font-weight]").all_text_contents())
    info, text = printed(page, tmp_path)
    assert re.search(r"Pages: +1\b", info)
    size = re.search(r"Page size: +([\d.]+) x ([\d.]+)", info)
    assert size is not None
    assert (float(size[1]) > float(size[2])) == (lie == "lying")
    assert labels
    assert labels <= set(text.split())
    for hidden in ("Fit width", "Help", "Circuits on this sheet", "Component index"):
        assert hidden not in text


def test_a_section_prints_whole(desk: Desk, tmp_path: Path) -> None:
    page = desk("section-connectors")
    wanted = set(filter(None, at(page, "#section-connectors td.id").all_text_contents()))
    titles = at(page, "#section-connectors h3").all_text_contents()
    info, text = printed(page, tmp_path)
    words = set(text.split())
    assert wanted - words == set()
    assert {title.split()[0] for title in titles} <= words
    pages = re.search(r"Pages: +(\d+)", info)
    assert pages is not None
    assert int(pages[1]) > 10
