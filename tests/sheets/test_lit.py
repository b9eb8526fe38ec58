"""A sheet in a state: the same drawing, live and dead told apart, contacts and readings as the network has them."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import pytest

from compiler.circuit.graph import Graph
from compiler.model.items import Point
from compiler.model.variant import Variant
from compiler.network.meter import Meter
from compiler.network.network import Network
from compiler.network.settle import Settled, settle
from compiler.network.state import State, state_of, state_of_facts
from renderers.sheets import SheetFigure, draw_sheets, lit_sheet
from renderers.sheets.flags import volts_words
from renderers.sheets.measure import measure, read_svg
from renderers.sheets.reading import StateReading, point_key, read_state
from tests.chaos.variants import make_variant

from .conftest import drawn, read
from .netlist import differences
from .readback import all_words

SVG = "{http://www.w3.org/2000/svg}"
TRUCK = """
variant V "Truck" { supply 12.6 V }
zone bay "Bay" 200 by 140
harness main "Main"
harness rear "Rear"
battery BT1 "Battery" 12.6 V 70 Ah 6 mohm at bay (10, 10)
ground G1 "Wing" at bay (20, 20)
fuse-block FB "Fuses" at bay (30, 20) { bus B1 "Bus"; fuse F1 "Lamps" slot 1 10 A blade from B1 }
connector C1 "Rear in-line" 4 cavities main -- rear at bay (40, 20) { spare rest }
switch S1 "Lamp switch" 1 2 3 at bay (50, 20) { positions off on; contact 1 2 when on; contact 1 3 when off }
relay K1 "Relay" at bay (60, 20) { coil 86 85 90 ohm; contact 30 87 when energised; contact 30 87a when at-rest }
lamp E1 "Lamp" 1 2 21 W at bay (70, 20)
lamp E2 "Other lamp" 1 2 5 W at bay (80, 20)
circuit 1 "Feed" 4 mm2 RD in main { A BT1.+ -- B1 1 m; B BT1.- -- G1 0.5 m BK recoloured "ground" }
circuit 2 "Switch" 1 mm2 GN in main { A F1.2 -- S1.1 1 m; B S1.2 -- K1.86 1 m; C F1.2 -- K1.30 1 m }
circuit 3 "Lamps" 1 mm2 YE in main {
  A K1.87 -- C1.1 20 m
  B C1.1 -- E1.1 1 m in rear
  C K1.87a -- E2.1 1 m
}
circuit 4 "Grounds" 1 mm2 BK in main {
  A K1.85 -- G1 1 m
  B E2.2 -- G1 1 m
  C C1.2 -- G1 1 m
  D E1.2 -- C1.2 1 m in rear
}
sheet 1 "Lamps" { circuits 1 2 3 4 }
"""


@pytest.fixture
def truck(variant_of: Callable[[str], Variant]) -> Variant:
    """A lamp that a relay switches, and one that burns while the relay is at rest."""
    return variant_of(TRUCK)


def settled(variant: Variant, **positions: str) -> Settled:
    """The variant with some switches moved."""
    network = Network(Graph(variant))
    return settle(network, state_of(network, positions.items()))


def groups(figure: SheetFigure, name: str) -> list[ElementTree.Element]:
    """The groups of a class."""
    return [g for g in ElementTree.fromstring(figure.svg).iter(f"{SVG}g") if g.get("class") == name]


def lives(figure: SheetFigure) -> dict[str, str]:
    """Wire -> how it is drawn."""
    return {g.get("data-wire", ""): g.get("data-life", "") for g in groups(figure, "wire")}


def test_wires_are_live_on_the_way_back_or_dead(truck: Variant) -> None:
    figure = draw_sheets(truck)["1"]
    rest = lives(lit_sheet(figure, read_state(settled(truck), "rest")))
    assert {w for w, life in rest.items() if life == "live"} == {"1A", "2A", "2C", "3C"}
    assert {w for w, life in rest.items() if life == "return"} == {"1B", "4B"}
    on = lives(lit_sheet(figure, read_state(settled(truck, S1="on"), "on")))
    assert {w for w, life in on.items() if life == "dead"} == {"3C", "4B"}
    assert {on[w] for w in ("2B", "3A", "3B")} == {"live"}
    assert {on[w] for w in ("4A", "4C", "4D")} == {"return"}


def test_live_and_dead_differ_in_width_and_lightness(truck: Variant) -> None:
    figure = lit_sheet(draw_sheets(truck)["1"], read_state(settled(truck, S1="on"), "on"))
    for group in groups(figure, "wire"):
        plain = [p for p in group if not p.get("stroke-dasharray")]
        widest = max(float(p.get("stroke-width", "0.8")) for p in plain)
        ticked = any(float(p.get("stroke-width", "0.8")) > 4 for p in group if p not in plain)
        darkest = min(sum(bytes.fromhex(p.get("stroke", "#000000")[1:])) for p in group)
        assert (widest > 4) == (group.get("data-life") == "live")
        assert ticked == (group.get("data-life") == "return")
        assert (darkest > 3 * 150) == (group.get("data-life") == "dead"), "a dead wire is pale, and no other"


def blades(figure: SheetFigure, device: str) -> list[str]:
    """How the contacts of a device are drawn, each with the line of its blade."""
    found = []
    for group in groups(figure, "symbol"):
        if group.get("data-part", "").startswith(f"{device}:") and group.get("data-drawn"):
            found += [f"{group.get('data-drawn')} {p.get('d')}" for p in group if p.get("data-other")]
    return found


def test_contacts_stand_as_the_state_has_them(truck: Variant) -> None:
    plain = draw_sheets(truck)["1"]
    rest = lit_sheet(plain, read_state(settled(truck), "rest"))
    on = lit_sheet(plain, read_state(settled(truck, S1="on"), "on"))
    for device in ("S1", "K1"):
        assert blades(plain, device) == blades(rest, device)
        assert not set(blades(plain, device)) & set(blades(on, device)), "each blade moved"
    moved = [g for g in groups(on, "symbol") if g.get("data-part", "") in ("S1:0", "S1:1")]
    assert {(g.get("data-part"), g.get("data-drawn")) for g in moved} == {("S1:0", "closed"), ("S1:1", "open")}
    again = lit_sheet(on, read_state(settled(truck), "rest"))
    assert blades(again, "K1") == blades(plain, "K1")


def test_what_works_is_marked_and_named(truck: Variant) -> None:
    figure = lit_sheet(draw_sheets(truck)["1"], read_state(settled(truck, S1="on"), "on"))
    bold = {g.get("data-part") for g in groups(figure, "symbol") if g.get("stroke-width")}
    assert {"E1:0", "K1:0"} <= bold
    assert "E2:0" not in bold
    words = list(all_words(figure.svg))
    assert {"lit", "energised", "on"} <= set(words)
    assert words.count("lit") == 1


def test_of_two_filaments_the_one_that_is_lit_is_marked() -> None:
    variant, figures = drawn("tour")
    beam = settled(variant, S2="head")
    reading = read_state(beam, "beam")
    assert reading.parts["E2:0"] == "56a 56b lit"
    figure = lit_sheet(figures["2"], replace(reading, filaments={"E2:0": (True, False)}))
    (lamp,) = [g for g in groups(figure, "symbol") if g.get("data-part") == "E2:0"]
    filled = {float(c.get("cx", "0")): c.get("fill", "none") for c in lamp.iter(f"{SVG}circle")}
    ports = {t.text: float(t.get("x", "0")) for t in ElementTree.fromstring(figure.svg).iter(f"{SVG}text")}
    first, second = sorted(filled, key=lambda x: abs(x - ports["56a"]))
    assert filled[first] != "none"
    assert filled[second] == "none"


def test_a_starter_that_is_in_is_drawn_so() -> None:
    variant, figures = drawn("tour")
    reading = read_state(settled(variant, S1="start"), "start")
    assert "M1:0" in reading.closed
    (plain,), (cranking,) = (
        [g for g in groups(f, "symbol") if g.get("data-part") == "M1:0"]
        for f in (figures["1"], lit_sheet(figures["1"], reading))
    )
    assert (plain.get("data-drawn"), cranking.get("data-drawn")) == ("open", "closed")


def test_readings_are_those_of_the_meter(truck: Variant) -> None:
    state = settled(truck, S1="on")
    meter = Meter(state)
    figure = lit_sheet(draw_sheets(truck)["1"], read_state(state, "on"))
    words = list(all_words(figure.svg))
    lamp, feed = meter.volts(Point("E1", "1")), meter.volts(Point("F1", "2"))
    assert lamp is not None
    assert feed is not None
    assert feed - lamp > 0.5, "20 m of 1 mm2"
    assert {volts_words(lamp), volts_words(feed)} <= set(words)
    near, far = (meter.volts(Point("C1", "1", half)) for half in (0, 1))
    assert near is not None
    assert far is not None
    assert near > far
    assert words.count(volts_words(far)) >= 2, "both halves of the cavity, or the lamp"


def test_the_title_block_and_the_key_name_the_state(truck: Variant) -> None:
    plain = draw_sheets(truck)["1"]
    figure = lit_sheet(plain, read_state(settled(truck, S1="on"), "lamp on"))
    words = list(all_words(figure.svg))
    assert "lamp on" in words
    assert words.count("S1 on") == 2, "in the title block and in the key"
    assert "State: lamp on" in words
    assert figure.title == "Lamps: lamp on"
    assert "in the state lamp on (S1 on)" in figure.alt
    assert (figure.sheet, figure.places, figure.width_pt) == (plain.sheet, plain.places, plain.width_pt)


def test_what_opened_and_what_does_not_settle_is_said(variant_of: Callable[[str], Variant]) -> None:
    variant = variant_of(TRUCK.replace("K1.85 -- G1 1 m", "K1.85 -- G1 1 m; E F1.2 -- G1 1 m"))
    reading = read_state(settled(variant), "rest")
    assert reading.notes == ("fuse F1 has blown",)
    assert reading.blown == {"F1:0"}
    figure = lit_sheet(draw_sheets(variant)["1"], reading)
    assert "fuse F1 has blown" in set(all_words(figure.svg))
    (fuse,) = [g for g in groups(figure, "symbol") if g.get("data-part") == "F1:0"]
    assert sum(p.get("stroke-width") == "1.8" for p in fuse) == 2, "crossed out"
    assert measure(figure.svg).clean


def test_a_relay_that_never_comes_to_rest_is_said(variant_of: Callable[[str], Variant]) -> None:
    variant = variant_of(TRUCK.replace("B S1.2 -- K1.86 1 m", "B K1.87a -- K1.86 1 m"))
    reading = read_state(settled(variant), "rest")
    assert reading.notes == ("K1: never at rest; shown at rest",)
    words = " ".join(all_words(lit_sheet(draw_sheets(variant)["1"], reading).svg))
    assert "K1: never at rest; shown at rest" in words


def test_where_a_page_is_full_no_reading_is_lost(truck: Variant) -> None:
    plain = draw_sheets(truck)["1"]
    lines = "".join(f'<path d="M0 {y}L900 {y}"/>' for y in range(0, 900, 5))
    full = replace(plain, svg=plain.svg.replace("</svg>", f'<g class="mark">{lines}</g></svg>'))
    reading = read_state(settled(truck, S1="on"), "on")
    figure = lit_sheet(full, reading)
    assert "State: on" not in set(all_words(figure.svg))
    assert f"E1.1 {volts_words(reading.volts['E1.1', ''])}" in figure.alt
    assert "E1 lit" in figure.alt


def test_hostile_names_of_states_stay_words(truck: Variant) -> None:
    reading = replace(read_state(settled(truck), "x"), title='</text><script>&"', settings="\u202eevil")
    figure = lit_sheet(draw_sheets(truck)["1"], reading)
    root = ElementTree.fromstring(figure.svg)
    assert {e.tag.removeprefix(SVG) for e in root.iter()} == {"svg", "g", "path", "rect", "circle", "text"}
    assert any(text.startswith('</text><script>&"') for text in all_words(figure.svg))
    assert "\u202e" not in figure.svg


def test_it_is_the_same_on_every_run(truck: Variant) -> None:
    figure = draw_sheets(truck)["1"]
    reading = read_state(settled(truck, S1="on"), "on")
    assert lit_sheet(figure, reading) == lit_sheet(figure, reading)


# -- the samples -------------------------------------------------------------------------------------------------------
@cache
def lit(name: str, title: str) -> tuple[StateReading, Mapping[str, SheetFigure]]:
    """All sheets of a sample in the state that a scenario sets."""
    variant, figures = drawn(name)
    network = Network(Graph(variant))
    facts = next((s.set for s in variant.scenarios if s.title == title), ())
    reading = read_state(settle(network, state_of_facts(network, facts)), title)
    return reading, {sheet: lit_sheet(figure, reading) for sheet, figure in figures.items()}


STATES = [("S4", "dipped beam"), ("S4", "screen heats"), ("S2", "left turn"), ("S2", "at rest"), ("tour", "at rest")]


@pytest.mark.parametrize(("name", "title"), STATES)
def test_nothing_overlaps_and_all_is_legible(name: str, title: str) -> None:
    for sheet, figure in lit(name, title)[1].items():
        measures = measure(figure.svg)
        assert measures.clean, (sheet, measures.faults, measures.smallest_text_pt)


@pytest.mark.parametrize(("name", "title"), STATES)
def test_the_drawing_itself_stays(name: str, title: str) -> None:
    variant, figures = drawn(name)
    shown = lit(name, title)[1]
    assert list(differences(variant, shown)) == list(differences(variant, figures))
    for sheet, figure in figures.items():
        assert read_svg(shown[sheet].svg).wires == read_svg(figure.svg).wires


@pytest.mark.parametrize(("name", "title"), STATES)
def test_every_live_test_point_has_its_reading(name: str, title: str) -> None:
    """As often as a value is to be read at live points of a page, it stands there at least."""
    reading, shown = lit(name, title)
    for sheet, figure in shown.items():
        points: dict[str, set[str]] = {}
        for group in groups(figure, "terminal"):
            point = group.get("data-terminal", ""), group.get("data-half", "")
            volts = reading.volts.get(point)
            if volts is not None and abs(volts) >= 0.5:
                points.setdefault(volts_words(volts), set()).add(point[0])
        wanted = {words: len(names) for words, names in points.items()}
        text = " ".join(all_words(figure.svg))
        for words, count in wanted.items():
            assert len(re.findall(rf"(?<![\d.]){re.escape(words)}", text)) >= count, (sheet, words)


def test_points_are_keyed_as_drawings_name_them() -> None:
    variant = drawn("tour").variant
    assert point_key(variant, Point("C1", "2", 1)) == ("C1.2", "1")
    assert point_key(variant, Point("C4", "1", 0)) == ("C4.1", "")
    assert point_key(variant, Point("SP1", "", 0)) == ("SP1", "")


@pytest.mark.parametrize("seed", range(4))
def test_generated_variants_stay_clean_in_any_state(seed: int, tmp_path: Path) -> None:
    _stays_clean(seed, tmp_path)


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(4, 60))
def test_many_generated_variants_stay_clean_in_any_state(seed: int, tmp_path: Path) -> None:
    _stays_clean(seed, tmp_path)


def _stays_clean(seed: int, tmp_path: Path) -> None:
    path = tmp_path / "v.loom"
    path.write_text(make_variant(seed, 20 + seed * 7 % 180))
    variant = read(path)
    network = Network(Graph(variant))
    pick = random.Random(seed)
    free = [subject for subject in network.positions if subject not in network.moved]
    figures = draw_sheets(variant)
    before = list(differences(variant, figures))
    for state in (State({}), State({subject: pick.choice(network.positions[subject]) for subject in free})):
        reading = read_state(settle(network, state), "any")
        shown = {sheet: lit_sheet(figure, reading) for sheet, figure in figures.items()}
        assert list(differences(variant, shown)) == before
        for sheet, figure in shown.items():
            assert measure(figure.svg).clean, (sheet, measure(figure.svg).faults)
