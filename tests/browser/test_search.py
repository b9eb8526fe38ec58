"""What a technician types, in whatever way, and what the demo pack finds for it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from renderers.around import Around
from renderers.pack import build_pack
from renderers.part import Part, part_of
from renderers.writers.html_folder import write_html
from tests.browser.conftest import Desk, Opening, at, window
from tests.published import sample, sample_pack


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
    assert typed(page, "trailer wiper motor")[0][0] in ("M4", "M10")
    expect(count).to_contain_text("Not all words in one place.")
    assert typed(page, "earth")[0][1] == "ground"
    expect(count).to_contain_text("“earth”: “ground”.")
    assert typed(page, "brake ligth fuse") == [("F2", "fuse")]
    expect(count).to_contain_text("Nothing for “ligth”, shown is “light”; “brake light”: “stop lamp”.")
    assert typed(page, "screen")
    expect(count).not_to_contain_text("Nothing")


def test_an_id_is_never_guessed_at(desk: Desk) -> None:
    """Another fuse than the one that was asked for would be worse than none."""
    page = desk("front")
    for query in ("F999", "C12.Z99", "qqqqq", "...", "   ", "fuse F999", "relay 999", "earth 999"):
        assert typed(page, query) == [], query
    # C99 is no fuse, but has the number.
    assert {name.split(".")[0] for name, sort in typed(page, "fuse 99") if sort != "wire"} == {"C99"}


def test_a_word_itself_comes_before_one_that_means_the_same(desk: Desk) -> None:
    page = desk("front")
    found = [name for name, _ in typed(page, "light")]
    assert found.index("S10") < found.index("E1"), "the light switch before the lamps"
    expect(at(page, "#count")).to_contain_text("“light”: also “lamp”.")
    # Both words as they stand, though nothing is called so: the lamp of the brakes is not the one that is meant.
    found = [name for name, _ in typed(page, "brake light")]
    assert found.index("E11") < found.index("162")


def test_what_fits_all_words_comes_alone(desk: Desk) -> None:
    page = desk("front")
    assert {sort for _, sort in typed(page, "low beam fuse")} == {"fuse", "bus"}
    expect(at(page, "#count")).not_to_contain_text("Not all words")


def test_a_part_of_a_pack_is_searched(opening: Opening, tmp_path: Path) -> None:
    """Its things have no place to lead to but the sheets that are in it."""
    path = tmp_path / "index.html"
    part = part_of(sample_pack("S4"), Part(("12", "14"), ("index", "fuses")))
    path.write_bytes(write_html(part)["index.html"])
    page = opening(path)
    assert typed(page, "F9")[0] == ("F9", "fuse")
    assert typed(page, "window relay")[0] == ("K11", "relay")


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


# What a mechanic says, in British or American words, and the id of what has to stand first.
SAID = [
    # power and starting
    ("alternator", "G1"),
    ("generator", "G1"),
    ("starter", "M1"),
    ("starter motor", "M1"),
    ("starter relay", "K8"),
    ("ignition key", "S1"),
    ("clutch switch", "S3"),
    ("battery", "BT1"),
    ("earth strap", "3"),
    ("cigarette lighter", "X5"),
    ("12v socket", "X5"),
    ("cigarette lighter fuse", "F10"),
    # engine and fuel
    ("ecu", "A1"),
    ("engine computer", "A1"),
    ("ecu fuse", "F32"),
    ("crankshaft sensor", "B10"),
    ("camshaft sensor", "B11"),
    ("coolant temp sensor", "B12"),
    ("water temp sensor", "B12"),
    ("temp gauge", "B7"),
    ("intake air temp", "B13"),
    ("map sensor", "B15"),
    ("egr", "Y3"),
    ("egr valve", "Y3"),
    ("injector 2", "Y6"),
    ("glow plug 3", "HR3"),
    ("glow plug relay", "K15"),
    ("fuel pump", "M3"),
    ("fuel pump relay", "K3"),
    ("fuel pump fuse", "F33"),
    ("fuel heater", "R7"),
    ("water in fuel sensor", "B5"),
    ("gas pedal", "B16"),
    ("throttle pedal", "B16"),
    ("cooling fan", "M5"),
    ("cooling fan relay", "K16"),
    ("oil pressure sensor", "S27"),
    # lamps
    ("left headlight", "E1"),
    ("headlights", "E1"),
    ("headlight switch", "S10"),
    ("low beam fuse", "F35"),
    ("left low beam", "F35"),
    ("high beam relay", "K5"),
    ("dimmer switch", "S11"),
    ("parking lights", "E3"),
    ("left tail light", "E9"),
    ("taillight", "E9"),
    ("brake lights", "E11"),
    ("third brake light", "E11"),
    ("brake light switch", "S18"),
    ("brake light fuse", "F2"),
    ("reverse lights", "F13"),
    ("reverse light switch", "S19"),
    ("backup beeper", "H3"),
    ("right indicator", "E6"),
    ("front left blinker", "E5"),
    ("indicator relay", "K12"),
    ("blinker switch", "S12"),
    ("turn signal fuse", "F17"),
    ("hazard lights", "F1"),
    ("hazard switch", "S13"),
    ("license plate light", "E12"),
    ("number plate lamp", "E12"),
    ("dome light", "E14"),
    ("boot light", "E15"),
    ("trunk light", "E15"),
    ("work lights", "E21"),
    ("dash lights", "F7"),
    ("oil light", "161"),
    ("battery light", "160"),
    ("check engine light", "163"),
    ("handbrake switch", "S25"),
    ("handbrake light", "162"),
    # heating, wipers, horn
    ("rear window heater", "R3"),
    ("heated rear window switch", "S21"),
    ("rear defogger relay", "K7"),
    ("demister fuse", "F9"),
    ("heated mirrors", "F26"),
    ("windshield wiper motor", "M4"),
    ("rear wiper", "M10"),
    ("windscreen washer pump", "M8"),
    ("heater fan", "M6"),
    ("heater fan switch", "S20"),
    ("fan resistor", "R8"),
    ("blower fuse", "FM8"),
    ("horn", "H1"),
    ("horn button", "S17"),
    ("hooter relay", "K6"),
    ("horn fuse", "F31"),
    # doors, windows, mirrors
    ("left door lock", "M11"),
    ("central locking switch", "S28"),
    ("boot lock", "M13"),
    ("power window switch", "S29"),
    ("left window motor", "M15"),
    ("electric window relay", "K11"),
    ("wing mirror", "A7"),
    ("mirror switch", "S32"),
    ("door jamb switch", "S22"),
    # instruments, data
    ("instrument cluster", "A5"),
    ("fuel gauge", "B4"),
    ("fuel gauge sender", "B4"),
    ("speedo sensor", "B6"),
    ("rev counter", "153"),
    ("obd port", "X1"),
    ("obd fuse", "F23"),
    # brakes, drive, trailer
    ("abs", "A3"),
    ("abs module", "A3"),
    ("abs fuse", "F24"),
    ("wheel speed sensor left front", "B21"),
    ("4x4 module", "A4"),
    ("transfer box motor", "M20"),
    ("4wd switch", "S53"),
    ("trailer plug", "X13"),
    ("tow bar socket", "X13"),
    # places, connectors, numbers
    ("firewall connector", "C12"),
    ("chassis earth right kick panel", "G109"),
    ("under bonnet fuse box", "FB2"),
    ("fuse box", "FB1"),
    ("bulkhead plug", "C12"),
    ("tailgate connector", "C40"),
    ("relay for the horn", "K6"),
    ("where is k7", "K7"),
    ("fuse 9", "F9"),
    ("relay k7", "K7"),
    ("k7", "K7"),
    ("circuit 48", "48"),
    ("circuit48", "48"),
    ("wire 48b", "48B"),
    ("wire48b", "48B"),
    ("k7 pin 87", "46A"),
    ("pin 87 of k7", "46A"),
    ("c40 pin 7", "C40.7"),
    ("fusible link glow plugs", "FL3"),
    ("rear brake light splice", "SP81"),
    ("reversing ligth", "F13"),
    # more than one of it
    ("tail light fuse", "F5"),
    ("abs warning light", "341"),
    ("alternator warning light", "160"),
    ("rear wheel sensor", "B23"),
    ("lh tail lamp", "SP71"),
    ("rh indicator", "E6"),
    ("left rear brake light", "81F"),
    ("sidelights", "E3"),
    ("fuel injector 3", "Y7"),
    ("central locking fuse", "F8"),
    ("rear wash wipe", "35"),
    ("battery earth", "G101"),
    ("starter won't crank", "Starter does not turn, lamps stay bright"),
    # complaints
    ("horn not working", "Low horn silent, high horn sounds"),
    ("rear window not working", "Rear screen stays cold, tell-tale lit"),
    ("left headlight doesn't work", "Left dipped beam dead, right one lights"),
    ("wipers won't stop", "Rear wiper stops wherever it stands"),
    ("starter doesn't turn", "Starter does not turn, lamps stay bright"),
    ("work light out", "Left rear work lamp out"),
    ("boot won't lock", "Tailgate does not lock or unlock, doors do"),
    ("blower only full speed", "Blower runs at full speed only"),
    ("oil light stays out", "Oil lamp stays out with the key on"),
    ("number plate light out", "Both plate lamps out, left tail lamp lights"),
    ("left wheel speed sensor fault", "C0035"),
]
# Where others are called just so, it stands among the first three.
ALSO_SAID = [
    ("key switch", "S1"),
    ("wiper switch", "S14"),
    ("recirc", "Y9"),
    ("can bus", "320"),
]


@pytest.fixture(scope="module")
def bench(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """A window on the demo pack with its fault charts."""
    pack = sample_pack("S4")
    pack = build_pack(sample("S4"), pack.sheets, line=pack.title, around=Around(faults="source"))
    path = tmp_path_factory.mktemp("bench") / "index.html"
    path.write_bytes(write_html(pack)["index.html"])
    said: list[str] = []
    page = window(browser, said)
    page.goto(path.as_uri())
    yield page
    page.context.close()
    assert said == []


def test_what_a_mechanic_says_finds_the_thing(bench: Page) -> None:
    found = {query: next(iter(typed(bench, query)), ("nothing", ""))[0] for query, _ in SAID}
    assert found == dict(SAID)


def test_what_others_are_called_too_is_among_the_first(bench: Page) -> None:
    for query, thing in ALSO_SAID:
        assert thing in [name for name, _ in typed(bench, query)[:3]], query


def test_where_not_all_words_fit_what_fits_by_name_comes_first(bench: Page) -> None:
    found = [sort for _, sort in typed(bench, "tailgate fuse")]
    assert found[0] == "connector"
    assert "fuse" not in found[:5]
    expect(at(bench, "#count")).to_contain_text("Not all words in one place.")
    # `ac` is no `actuator`, and one letter no part of a word.
    assert ("F41", "fuse") not in typed(bench, "c fuse")


def test_half_a_word_finds_what_the_whole_means(bench: Page) -> None:
    assert typed(bench, "indic")[0] == typed(bench, "indicator")[0]
    assert typed(bench, "windsc wip")[0][0] in ("M4", "S14")


def test_words_that_say_nothing_are_left_out(bench: Page) -> None:
    for query in ("where is the horn relay", "the horn relay does not work", "my horn relay isn't working", "horn relay?"):
        assert typed(bench, query)[0] == ("K6", "relay"), query
    # Each is a word of its own where there is no other, and `work` where it is part of a name.
    assert typed(bench, "on")
    assert typed(bench, "front work lamp relay")[0] == ("K18", "relay")
    # A trouble is what a chart is for.
    assert typed(bench, "horn dead")[0][1] == "complaint"
    assert typed(bench, "horn")[0][1] == "horn"
