"""What a technician types, in whatever way, and what the demo pack finds for it."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Page, expect

from tests.browser.conftest import Desk, Opening, at


def typed(page: Page, query: str) -> list[tuple[str, str]]:
    """Types into the search box; what is found, likeliest first: id and sort."""
    at(page, "#search").fill(query)
    rows = "[...document.querySelectorAll('#found li')].map(row => [row.children[0], row.querySelector('small span')])"
    return [(name, sort) for name, sort in page.evaluate(f"{rows}.map(pair => pair.map(one => one.textContent))")]


LIKELIEST = [
    # cavities, however they are written
    ("C18.54", "C18.54 cavity"),
    ("c18 54", "C18.54 cavity"),
    ("C18-54", "C18.54 cavity"),
    ("c1854", "C18.54 cavity"),
    ("c18 pin 54", "C18.54 cavity"),
    ("terminal 54 C18", "C18.54 cavity"),
    # a sort and a number, though others have the number somewhere
    ("fuse 9", "F9 fuse"),
    ("sheet 22", "22 wiring sheet"),
    ("circuit 48", "48 circuit"),
    ("wire 48b", "48B wire"),
    ("ground 109", "G109 ground"),
    # words in any order, run together, cut short, in capitals
    ("relay screen rear", "K7 relay"),
    ("rearscreen relay", "K7 relay"),
    ("rear-scr rel", "K7 relay"),
    ("REAR SCREEN RELAY", "K7 relay"),
    # words mistyped
    ("rear screne relay", "K7 relay"),
    ("rear screen relya", "K7 relay"),
    ("tailgaet hinge", "C40 connector"),
    # a place, and a colour in letters or words
    ("glove-box blower", "K9 relay"),
    ("c18.54 blue", "47A wire"),
    ("c18 bu/og", "47A wire"),
]


def test_the_likeliest_is_first(desk: Desk) -> None:
    page = desk("front")
    found = {query: " ".join(next(iter(typed(page, query)), ())) for query, _ in LIKELIEST}
    assert found == dict(LIKELIEST)


def test_a_component_stands_before_its_plug_and_this_before_wires(desk: Desk) -> None:
    page = desk("front")
    sorts = [sort for _, sort in typed(page, "left headlamp")]
    assert sorts.index("two-filament lamp") < sorts.index("connector of E1") < sorts.index("wire")


def test_what_was_guessed_or_left_out_is_said(desk: Desk) -> None:
    page = desk("front")
    count = at(page, "#count")
    assert typed(page, "screne")
    expect(count).to_contain_text("Nothing for “screne”, shown is “screen”.")
    assert typed(page, "qqqqq horn")[0][1] == "horn"
    expect(count).to_contain_text("Nothing for “qqqqq”.")
    assert typed(page, "windscreen wiper motor")[0][0] in ("M4", "M10")
    expect(count).to_contain_text("Not all words in one place.")
    assert typed(page, "screen")
    expect(count).not_to_contain_text("Nothing")


def test_an_id_is_never_guessed_at(desk: Desk) -> None:
    """Another fuse than the one that was asked for would be worse than none."""
    page = desk("front")
    for query in ("F999", "C12.Z99", "qqqqq", "...", "   "):
        assert typed(page, query) == [], query


def test_a_place_is_told_only_when_it_was_what_was_found(desk: Desk) -> None:
    page = desk("front")
    typed(page, "k9")
    expect(at(page, "#found li").first).not_to_contain_text("glove-box")
    typed(page, "glove blower relay")
    expect(at(page, "#found li").first).to_contain_text("behind the glove-box lid")


def test_to_search_loses_neither_place_nor_light(demo: Path, opening: Opening) -> None:
    page = opening(demo, "wire-48B")
    expect(at(page, "#details")).to_be_visible()
    page.evaluate("scrollBy(0, 100)")
    before = page.evaluate("scrollY")
    page.keyboard.press("/")
    page.keyboard.type("horn")
    expect(at(page, "#found li").first).to_be_visible()
    page.keyboard.press("Escape")
    expect(at(page, "#found")).not_to_be_visible()
    expect(at(page, "#search")).to_have_value("")
    assert page.evaluate("scrollY") == before
    expect(at(page, "#details")).to_be_visible()
    page.keyboard.press("Escape")
    expect(at(page, "#details")).not_to_be_visible()
