"""The pack on screen: nothing hostile gets through, and it works in a browser, from disk."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from renderers.document import Pack
from renderers.tables import Column, Row, Table, cell
from renderers.writers.html_folder import group_edges, heads, write_html
from tests.renderers.vehicles import HOSTILE


class Elements(HTMLParser):
    """Names of the elements and attributes of a page, and its text outside scripts and styles."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.names: Counter[str] = Counter()
        self.attributes: Counter[str] = Counter()
        self.ids: list[str] = []
        self.targets: list[str] = []
        self.text = ""
        self._in: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names[tag] += 1
        self._in.append(tag)
        for name, value in attrs:
            self.attributes[name] += 1
            if name == "id":
                self.ids.append(value or "")
            if name == "href":
                self.targets.append(value or "")

    def handle_data(self, data: str) -> None:
        if self._in and self._in[-1] not in ("script", "style"):
            self.text += data


def page_of(pack: Pack) -> str:
    return write_html(pack)["index.html"].decode("utf-8")


def test_hostile_words_stay_words(hostile_pack: Pack, small_pack: Pack) -> None:
    hostile, plain = Elements(page_of(hostile_pack)), Elements(page_of(small_pack))
    for page in (hostile, plain):
        del page.names["tr"], page.names["th"]  # the index has a head for each letter that a name begins with
    assert hostile.names == plain.names
    assert set(hostile.attributes) == set(plain.attributes)
    assert hostile.names["script"] == 2
    for words in HOSTILE[:8]:
        assert words in hostile.text


def test_no_character_that_misleads_reaches_the_page(hostile_pack: Pack) -> None:
    assert re.search("[\x00-\x08\x0e-\x1f\u202a-\u202e\u2066-\u2069]", page_of(hostile_pack)) is None


def test_ids_are_unique_and_every_link_is_live(small_pack: Pack) -> None:
    page = Elements(page_of(small_pack))
    assert [name for name, count in Counter(page.ids).items() if count > 1] == []
    assert page.targets
    assert all(target.startswith("#") for target in page.targets)
    assert {target[1:] for target in page.targets} <= set(page.ids)


def test_the_page_asks_for_nothing_and_allows_one_script(small_pack: Pack) -> None:
    page = page_of(small_pack)
    assert re.search(r"default-src 'none'; script-src 'sha256-[A-Za-z0-9+/]{43}='", page)
    assert not re.search(r"(?:src|href)=[\"']?(?:https?:|//|\w+\.(?:js|css))", page)


def test_two_builds_are_the_same(small_pack: Pack) -> None:
    assert write_html(small_pack) == write_html(small_pack)


def test_heads_span_the_columns_of_a_group() -> None:
    groups = ["", "left", "left", "right", "", "right"]
    table = Table("t", "", tuple(Column(f"c{n}", "", group=g) for n, g in enumerate(groups)), (Row((cell(""),) * 6),))
    assert heads(table) == [("", 1), ("left", 2), ("right", 1), ("", 1), ("right", 1)]
    assert group_edges(table) == [False, True, False, True, True, True]
    plain = Table("t", "", (Column("a", ""),), ())
    assert (heads(plain), group_edges(plain)) == ([], [False])


@pytest.fixture
def screen(browser: Browser, small_pack: Pack, tmp_path: Path) -> Iterator[Page]:
    """The small pack opened from disk; fails on any message, error or request of the page."""
    yield from opened(browser, small_pack, tmp_path)


@pytest.fixture
def hostile_screen(browser: Browser, hostile_pack: Pack, tmp_path: Path) -> Iterator[Page]:
    yield from opened(browser, hostile_pack, tmp_path)


def opened(browser: Browser, pack: Pack, folder: Path) -> Iterator[Page]:
    for name, data in write_html(pack).items():
        (folder / name).write_bytes(data)
    page = browser.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("dialog", lambda dialog: said.append(dialog.message))
    page.on("request", lambda request: None if request.url.startswith("file:") else said.append(request.url))
    page.goto((folder / "index.html").as_uri())
    yield page
    page.close()
    assert said == []


def to(page: Page, anchor: str) -> None:
    page.evaluate("anchor => { location.hash = anchor; }", anchor)


def test_it_opens_on_the_title_and_shows_one_section(screen: Page) -> None:
    expect(screen.locator("#front h2")).to_be_visible()
    expect(screen.locator("#section-wires h2")).not_to_be_visible()
    to(screen, "section-wires")
    expect(screen.locator("#section-wires h2")).to_be_visible()
    expect(screen.locator("#front h2")).not_to_be_visible()
    expect(screen.locator("nav [aria-current]")).to_have_text("Wire list")


def test_search_finds_by_name_id_and_wire(screen: Page) -> None:
    screen.keyboard.press("/")
    screen.keyboard.type("rear screen rel")
    expect(screen.locator("#found li").first).to_contain_text("K7")
    screen.keyboard.press("Enter")
    expect(screen.locator("#item-K7")).to_be_visible()
    for query, first, goal in (
        ("c40", "C40", "#item-C40"),
        ("48c", "48C", "#wire-48C"),
        ("lamp feed", "SP1", "#item-SP1"),
    ):
        screen.locator("#search").fill(query)
        expect(screen.locator("#found li strong").first).to_have_text(first)
        screen.keyboard.press("Enter")
        expect(screen.locator(goal)).to_be_visible()
    screen.locator("#search").fill("no such thing")
    expect(screen.locator("#count")).to_have_text("Nothing found")
    expect(screen.locator("#found")).not_to_be_visible()


def test_a_wire_lights_its_circuit_on_every_sheet_and_chart(screen: Page) -> None:
    to(screen, "sheet-38")
    screen.locator("#sheet-38 svg [data-wire='48C'] path").click(force=True)
    lit = screen.evaluate("[...document.querySelectorAll('.lit')].map(e => e.closest('.group')?.id || e.id)")
    assert {"sheet-38", "sheet-39", "wire-48C", "item-C40"} <= set(lit)
    assert screen.locator("svg [data-circuit='50'].lit").count() == 0
    expect(screen.locator("#details")).to_contain_text("Circuit 48")
    screen.keyboard.press("Escape")
    assert screen.locator(".lit").count() == 0
    expect(screen.locator("#details")).not_to_be_visible()


def test_a_row_lights_by_mouse_and_by_key(screen: Page) -> None:
    to(screen, "section-wires")
    screen.locator("#wire-50A td").nth(6).click()
    expect(screen.locator("#details")).to_contain_text("Circuit 50")
    screen.keyboard.press("Escape")
    to(screen, "wire-48A")
    expect(screen.locator("#wire-48A")).to_be_focused()
    screen.keyboard.press("Escape")
    screen.keyboard.press("l")
    expect(screen.locator("#details")).to_contain_text("Circuit 48")


def test_keys_turn_the_sections(screen: Page) -> None:
    screen.keyboard.press("]")
    expect(screen.locator("#section-series h2")).to_be_visible()
    screen.keyboard.press("[")
    expect(screen.locator("#front h2")).to_be_visible()
    screen.keyboard.press("?")
    expect(screen.locator("#help")).to_be_visible()


def test_it_fits_a_phone(screen: Page) -> None:
    screen.set_viewport_size({"width": 375, "height": 700})
    for part in ("front", "section-connectors", "section-sheets", "section-wires"):
        to(screen, part)
        expect(screen.locator(f"#{part}")).to_be_visible()
        assert screen.evaluate("document.documentElement.scrollWidth") <= 375
    screen.locator("#menu").click()
    expect(screen.locator("nav a").first).to_be_visible()


def test_paper_shows_the_open_section_alone(screen: Page) -> None:
    to(screen, "section-splices")
    expect(screen.locator("#section-splices h2")).to_be_visible()
    screen.emulate_media(media="print")
    for hidden in ("nav", ".top", "#section-wires h2"):
        expect(screen.locator(hidden)).not_to_be_visible()
    expect(screen.locator("#table-splices")).to_be_visible()


def test_it_reads_without_its_script(browser: Browser, small_pack: Pack, tmp_path: Path) -> None:
    (tmp_path / "index.html").write_bytes(write_html(small_pack)["index.html"])
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((tmp_path / "index.html").as_uri() + "#wire-48C")
    expect(page.locator("#wire-48C")).to_be_in_viewport()
    context.close()


def test_hostile_words_do_nothing_in_a_browser(hostile_screen: Page) -> None:
    for part in ("section-fuses", "section-connectors", "section-index"):
        to(hostile_screen, part)
        expect(hostile_screen.locator(f"#{part} h2")).to_be_visible()
    hostile_screen.locator("#search").fill("script")
    hostile_screen.keyboard.press("Enter")
    to(hostile_screen, "wire-48C")
    expect(hostile_screen.locator("#details")).to_contain_text("Circuit 48")


def test_what_the_search_knows_cannot_end_its_element(hostile_pack: Pack) -> None:
    entry = hostile_pack.entries[0]._replace(term="</script><!--\u2028")
    page = page_of(replace(hostile_pack, entries=(entry,)))
    lookup = re.search(r'<script type="application/json" id="lookup">(.*?)</script>', page, re.DOTALL)
    assert lookup is not None
    assert json.loads(lookup[1])["entries"][0][0] == "</script><!--\u2028"
