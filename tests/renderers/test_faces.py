"""Faces of connectors: every cavity in its place, mating side and wire side mirrored, states told apart in black."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from renderers.document import Figure, Pack
from renderers.drawings.face import rows_of
from renderers.pack import build_pack
from tests.renderers.vehicles import SMALL, figures, read

SVG = "{http://www.w3.org/2000/svg}"


def face(pack: Pack, connector: str) -> Figure:
    return next(f for f in pack.section("connectors").figures if f.id == f"face-item-{connector}")


def views(figure: Figure) -> dict[str, list[list[str]]]:
    """Title of each view -> its rows of cavities, read from where the words stand."""
    found: dict[str, list[list[str]]] = {}
    for group in ET.fromstring(figure.svg).findall(f"{SVG}g"):
        words = list(group.iter(f"{SVG}text"))
        title = words[0].text or ""
        if ": " not in title:
            continue
        rows: dict[float, list[tuple[float, str]]] = {}
        for word in words[1:]:
            rows.setdefault(float(word.get("y", "")), []).append((float(word.get("x", "")), word.text or ""))
        found[title] = [[name for _, name in sorted(row)] for _, row in sorted(rows.items())]
    return found


def test_declared_rows_and_columns_are_kept_and_each_view_is_the_mirror_of_the_next(small_pack: Pack) -> None:
    figure = face(small_pack, "C12")
    straight, mirrored = [["A1", "A2", "A3"], ["B1", "B2", "B3"]], [["A3", "A2", "A1"], ["B3", "B2", "B1"]]
    assert views(figure) == {
        "Cab harness side: mating side": straight,
        "Cab harness side: wire side": mirrored,
        "Body harness side: mating side": mirrored,
        "Body harness side: wire side": straight,
    }
    assert "Rows and columns as declared." in figure.svg


def test_an_arrangement_that_the_source_does_not_give_says_so(small_pack: Pack) -> None:
    figure = face(small_pack, "C40")
    assert views(figure)["Body harness side: mating side"] == [list("12345"), ["6", "7", "8", "9", "10"]]
    assert "Order as declared; the arrangement in rows is schematic." in figure.svg


def test_a_component_connector_shows_its_plug_from_both_sides_and_the_component(small_pack: Pack) -> None:
    assert views(face(small_pack, "C51")) == {
        "Harness plug: mating side": [["1", "2"]],
        "Harness plug: wire side": [["2", "1"]],
        "Component R3: mating side": [["2", "1"]],
    }


def test_rows_of_different_length_stand_centred_and_mirrored(tmp_path: Path) -> None:
    figure = face(arranged(tmp_path), "C40")
    straight, mirrored = (
        [["1", "2", "3"], ["4", "5", "6", "7"], ["8", "9", "10"]],
        [["3", "2", "1"], ["7", "6", "5", "4"], ["10", "9", "8"]],
    )
    assert views(figure) == {
        "Body harness side, sockets: mating side": straight,
        "Body harness side, sockets: wire side": mirrored,
        "Tailgate harness side, pins: mating side": mirrored,
        "Tailgate harness side, pins: wire side": straight,
    }
    assert "Rows as declared." in figure.svg
    at = {
        (w.text or ""): float(w.get("x", ""))
        for w in ET.fromstring(figure.svg).findall(f"{SVG}g")[0].iter(f"{SVG}text")
    }
    assert at["2"] == at["9"] == (at["5"] + at["6"]) / 2


def test_the_headings_say_which_half_has_the_pins(tmp_path: Path) -> None:
    pack = arranged(tmp_path)
    groups = {c.group for t in pack.section("connectors").tables for c in t.columns}
    assert {"Body harness side, sockets", "Tailgate harness side, pins"} <= groups
    assert {"Harness side, sockets", "Component R3, pins", "Cab harness side"} <= groups


def arranged(folder: Path) -> Pack:
    """The small vehicle with rows and pins declared."""
    text = SMALL.replace(
        "-- tailgate at tail (40, 22) {", "-- tailgate at tail (40, 22) { rows 3 4 3; pins on tailgate\n"
    )
    text = text.replace("connector C51 2 cavities", "connector C51 2 cavities { pins on component }")
    variant = read(folder, text)
    return build_pack(variant, figures(variant), line="Tern")


def test_states_differ_in_outline_and_not_in_colour_alone(small_pack: Pack) -> None:
    figure = face(small_pack, "C40")
    cells: dict[str, tuple[str | None, int]] = {}
    tailgate = ET.fromstring(figure.svg).findall(f"{SVG}g")[2]
    for cavity in tailgate.findall(f"{SVG}g"):
        words, outline = cavity.find(f"{SVG}text"), cavity.find(f"{SVG}rect")
        assert words is not None
        assert outline is not None
        cells[words.text or ""] = (outline.get("stroke-dasharray"), len(cavity.findall(f"{SVG}path")))
    assert len({cells["7"], cells["1"], cells["10"], cells["9"]}) == 4
    told = re.findall(r">([^<>]+)</text>", figure.svg)
    assert {"wired", "spare", "plugged", "no wire, and not marked"} <= set(told)
    assert "Tailgate harness side: wired: 7, 8; spare: 1, 2, 3, 4, 5, 6; plugged: 10" in figure.alt


def test_a_cavity_is_lit_with_its_circuit(small_pack: Pack) -> None:
    root = ET.fromstring(face(small_pack, "C40").svg)
    found = {g.get("data-terminal"): g.get("data-circuit") for g in root.iter(f"{SVG}g") if g.get("data-terminal")}
    assert (found["C40.7"], found["C40.8"], found["C40.1"]) == ("48", "49", None)
    assert len(found) == 10


@given(st.lists(st.from_regex(r"[A-C]?[0-9]{1,2}", fullmatch=True), unique=True, max_size=130))
def test_every_cavity_stands_once_and_rows_are_of_one_length(cavities: list[str]) -> None:
    grid, order = rows_of(cavities)
    assert sorted(name for row in grid for name in row if name) == sorted(cavities)
    assert len({len(row) for row in grid}) <= 1
    if "schematic" in order:
        assert [name for row in grid for name in row if name] == cavities
        assert all(len(row) <= 16 for row in grid)
