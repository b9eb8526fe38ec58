"""Which wire stands on which sheet, and how sheets are cut into pages."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from compiler.model.variant import Variant
from renderers.sheets import draw_sheets, portions
from renderers.sheets.frame import LONG, SHORT, Titles, frame_ink
from renderers.sheets.ink import Words
from renderers.sheets.measure import measure
from renderers.sheets.plan import plan_sheets
from renderers.sheets.potential import potentials
from renderers.sheets.sheets import Drawing
from renderers.sheets.split import split
from renderers.sheets.units import Content
from tests.chaos.variants import make_variant

from .conftest import SAMPLES, drawn, read
from .netlist import differences

Make = Callable[[str], Variant]
SHORT_SIDE = SHORT, LONG

HEAD = """
variant V "V" { model-year 2027 }
zone cab "Cab"
harness h "H"
battery BT1 "Battery" 12.6 V 70 Ah 6 mohm
fuse-block FB1 "Block" { bus BUS "Bus"; fuse F1 "One" slot 1 10 A mini from BUS; fuse F2 "Two" slot 2 10 A mini from BUS }
ground G1 "Ground"
splice SP1 "Shared ground" in h
circuit 1 "Feed" 6 mm2 RD in h { A BT1.+ -- BUS 1 m; B BT1.- -- G1 1 m BK }
lamp E1 "Lamp one" 1 2 5 W
lamp E2 "Lamp two" 1 2 5 W
circuit 10 "One" 1 mm2 BU in h { A F1.2 -- E1.1 1 m }
circuit 20 "Two" 1 mm2 GN in h { A F2.2 -- E2.1 1 m }
circuit 30 "Ground" 1 mm2 BK in h { A E1.2 -- SP1 1 m; B E2.2 -- SP1 1 m; C SP1 -- G1 1 m }
"""


def wires_on(variant: Variant) -> dict[str, set[str]]:
    """Sheet number -> wires."""
    return {plan.number: {w.id for w in plan.wires} for plan in plan_sheets(variant)}


def test_a_shared_circuit_leaves_out_what_serves_other_sheets(variant_of: Make) -> None:
    variant = variant_of(HEAD + 'sheet 5 "One" { circuits 1 10 30 }\nsheet 6 "Two" { circuits 20 30 }\n')
    on = wires_on(variant)
    assert on["5"] == {"1A", "1B", "10A", "30A", "30C"}
    assert on["6"] == {"20A", "30B", "30C"}


def test_a_sheet_of_which_nothing_would_be_left_shows_what_it_is_told(variant_of: Make) -> None:
    variant = variant_of(HEAD + 'sheet 5 "All" { circuits 1 10 20 30 }\nsheet 6 "One" { circuits 10 }\n')
    assert wires_on(variant)["6"] == {"10A"}
    assert list(differences(variant, draw_sheets(variant))) == []


@pytest.mark.parametrize("block", ["", "{ }", "{ circuits 99 }", "{ see 5 }"])
def test_a_sheet_with_nothing_on_it_is_drawn_empty(variant_of: Make, block: str) -> None:
    figures = draw_sheets(variant_of(HEAD + f'sheet 5 "All" {{ circuits 1 10 20 30 }}\nsheet 6 "None" {block}\n'))
    assert list(figures) == ["P", "G", "5", "6"]
    assert "data-wire" not in figures["6"].svg


def test_what_was_left_out_is_an_arrow_and_the_other_sheet_points_back(variant_of: Make) -> None:
    variant = variant_of(HEAD + 'sheet 5 "One" { circuits 1 10 30 }\nsheet 6 "Two" { circuits 20 30 }\n')
    figures = draw_sheets(variant)
    assert ">sheet 6<" in figures["5"].svg
    assert ">E2.2<" in figures["5"].svg
    assert ">sheet 5<" in figures["6"].svg
    assert ">E1.2<" in figures["6"].svg
    assert list(differences(variant, figures)) == []


def test_circuits_on_no_sheet_get_one_whose_number_stays(variant_of: Make) -> None:
    first = wires_on(variant_of(HEAD + 'sheet 5 "One" { circuits 1 10 }\n'))
    assert first["U20"] == {"20A", "30A", "30B", "30C"}
    unrelated = HEAD + 'sheet 5 "One" { circuits 1 10 }\nlamp E9 "More" 1 2 5 W\n'
    unrelated += 'circuit 15 "More" 1 mm2 WH in h { A F1.2 -- E9.1 1 m; B E9.2 -- G1 1 m }\n'
    after = wires_on(variant_of(unrelated))
    assert after["U20"] == first["U20"]
    assert after["U15"] == {"15A", "15B"}


UNRELATED = """
ground G990 "Far ground" at {zone}
lamp E990 "Far lamp" 1 2 5 W
switch S990 "Far switch" {{ positions off on; contact 1 2 when on }}
circuit 1 "Unrelated, with the smallest number of all" 1 mm2 BU in {harness} {{ Y S990.2 -- E990.1 1 m; Z E990.2 -- G990 1 m BK }}
"""


@pytest.mark.parametrize(("name", "zone", "harness"), [("tour", "bay", "main"), ("S4", "cab", "cab")])
def test_what_is_unrelated_changes_no_sheet(name: str, zone: str, harness: str, tmp_path: Path) -> None:
    folder = tmp_path / "line"
    shutil.copytree(SAMPLES[name].parent, folder, ignore=shutil.ignore_patterns("goldens", "__pycache__", "*.py"))
    path = folder / SAMPLES[name].name
    text = UNRELATED.format(zone=zone, harness=harness).replace("circuit 1 ", "circuit 001 ")
    path.write_text(path.read_text() + text)
    before, after = drawn(name).figures, draw_sheets(read(path))
    assert [key for key in after if key not in before] == ["U001"]
    assert [key for key in after if key in before] == list(before)
    changed = [key for key in before if before[key].svg != after[key].svg]
    # The new ground stands on the ground distribution sheet.
    assert {before[key].number for key in changed} <= {"G"}


@pytest.mark.parametrize("name", SAMPLES)
def test_every_wire_stands_on_a_sheet_and_declared_numbers_stay(name: str) -> None:
    variant, figures = drawn(name)
    on = wires_on(variant)
    assert {w.id for w in variant.wires} == set().union(*on.values())
    assert list(variant.sheets) == [number for number in on if number in variant.sheets]
    numbers = list(dict.fromkeys(figure.number for figure in figures.values()))
    assert numbers == [n for n in ("P", "G") if n in numbers] + list(on)


def test_a_split_cuts_few_wires(variant_of: Make) -> None:
    # Two groups of lamps, each on its own splice, with one wire between the splices.
    text = HEAD + 'splice SP2 "A" in h\nsplice SP3 "B" in h\n'
    text += 'circuit 40 "Link" 1 mm2 RD in h { A SP2 -- SP3 1 m }\n'
    for number in range(8):
        side = "SP2" if number < 4 else "SP3"
        text += f'lamp L{number} "L" 1 2 5 W\ncircuit 5{number} "L" 1 mm2 BU in h {{ A {side} -- L{number}.1 1 m }}\n'
    variant = variant_of(text)
    wires = tuple(w for w in variant.wires if w.circuit[0] in "45")
    parts = split(variant, Content(wires), 0.5, potentials(variant), {})
    assert parts is not None
    assert [{w.id for w, _ in part.cuts} for part in parts] == [{"40A"}, {"40A"}]
    assert {len(part.wires) for part in parts} == {4}


def test_a_splice_with_forty_wires_still_prints(variant_of: Make) -> None:
    text = HEAD
    for number in range(40):
        text += f'lamp L{number} "Lamp {number}" 1 2 5 W\n'
    text += (
        'circuit 40 "Many" 1 mm2 RD in h {\n'
        + "".join(f"  {_segment(n)} SP1 -- L{n}.1 1 m\n" for n in range(40))
        + "}\n"
    )
    variant = variant_of(text + 'sheet 7 "Many" { circuits 40 }\n')
    figures = draw_sheets(variant)
    pages = [figure for figure in figures.values() if figure.number == "7"]
    assert len(pages) > 1
    assert min(measure(page.svg).smallest_text_pt for page in pages) >= 6.5
    assert list(differences(variant, figures)) == []


def _segment(number: int) -> str:
    return chr(65 + number) if number < 26 else f"A{chr(65 + number - 26)}"


def test_the_title_block_names_the_page_and_cuts_nothing() -> None:
    for name, figure in drawn("S4").figures.items():
        frame = figure.svg[: figure.svg.index('<g class="wire"')]
        assert re.search(f'font-size="11" font-weight="700">{re.escape(name)}<', frame), name
        assert "…" not in frame
        assert "see " not in frame


def test_a_title_block_gives_room_to_what_would_be_cut() -> None:
    long = Titles("S4  Sandpiper utility truck, four-wheel drive", "", "38 (2)", "Rear screen and mirrors", "2027-1")
    long = long._replace(state="Rear screen on", settings="S1 run, S21 on", page="page 2 of 2", system="Body")
    words = [shape.text for shape in frame_ink(*SHORT_SIDE, long) if isinstance(shape, Words)]
    assert {long.variant, long.title, long.state, long.settings, long.sheet, long.page} <= set(words)
    endless = long._replace(variant="V" * 200, title="T" * 200)
    words = [shape.text for shape in frame_ink(*SHORT_SIDE, endless) if isinstance(shape, Words)]
    assert sum(text.endswith("…") for text in words) >= 2


def test_a_module_over_several_sheets_points_to_its_other_parts() -> None:
    figure = drawn("S4").figures["17"]
    start = figure.svg.index('data-item="A1"')
    box = figure.svg[start : figure.svg.index('<g class="', start + 2000)]
    assert "see sheets 16" in box


def test_a_very_large_sheet_is_laid_out_in_portions(variant_of: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    variant = variant_of(make_variant(1, 200))
    plain = draw_sheets(variant)
    monkeypatch.setattr(portions, "LARGE", 30)
    drawing = Drawing(variant)
    figures = drawing.figures()
    assert max(len(sheet.parts) for sheet in drawing.sheets) > 2
    assert {figure.number for figure in figures.values()} == {figure.number for figure in plain.values()}
    for number in ("P", "G"):
        names = [name for name, figure in figures.items() if figure.number == number]
        assert names == [number, *(f"{number} ({place})" for place in range(2, len(names) + 1))]
        assert [figures[name].titles.page for name in names][-1] == f"page {len(names)} of {len(names)}"
    assert list(differences(variant, figures)) == []
    assert [fault for figure in figures.values() for fault in measure(figure.svg).faults] == []


def test_zones_name_where_an_item_stands() -> None:
    figure = drawn("tour").figures["1"]
    assert set(figure.places) >= {"BT1", "G1", "M1", "FL1", "BAT", "G101", "S1"}
    row, column = figure.places["BT1"][0], int(figure.places["BT1"][1:])
    assert row == "A", "the battery stands at the top"
    assert figure.places["G102"][0] > row
    assert 1 <= column <= 8


def test_a_fuse_has_a_zone_of_its_own_wherever_its_bus_is_drawn() -> None:
    variant, figures = drawn("tour")
    apart = 0
    for figure in figures.values():
        for terminal in re.findall(r'data-terminal="([^"]+)\.[^".]+"', figure.svg):
            device = variant.devices.get(terminal)
            if device is not None and device.bus in figure.places:
                zone, bus = figure.places[device.id], figure.places[device.bus]
                assert bus[0] <= zone[0]
                # The words of a bus stand at its right end.
                assert zone[1:] <= bus[1:]
                apart += zone[1:] < bus[1:]
    assert apart


@pytest.mark.parametrize("sheet", ["2", "3", "4", "5", "6"])
def test_supply_is_above_and_ground_below(sheet: str) -> None:
    variant, figures = drawn("tour")
    places = figures[sheet].places
    supply = [places[item][0] for item in places if item in variant.buses]
    rest = [places[item][0] for item in places if item in variant.devices]
    ground = [places[item][0] for item in places if item in variant.grounds]
    assert max(supply) <= min(rest)
    assert max(rest) <= min(ground)


def test_a_variant_without_wires_has_no_sheets(variant_of: Make) -> None:
    assert draw_sheets(variant_of('variant V "V" { model-year 2027 }\n')) == {}


def test_loops_are_drawn(variant_of: Make) -> None:
    text = HEAD + 'harness k "K"\nconnector C1 "In-line" 8 cavities h -- k\n'
    text += 'circuit 60 "Loops" 1 mm2 BU in h { A SP1 -- SP1 1 m; B E1.1 -- E1.2 1 m; C C1.1 -- C1.2 1 m; D C1.3 -- C1.3 1 m\n'
    text += "E C1.4 -- C1.5 1 m; F C1.4 -- SP1 1 m; G C1.5 -- E2.1 1 m; H G1 -- G1 1 m; I BUS -- BUS 1 m }\n"
    text += 'circuit 61 "Loops" 1 mm2 RD in k { A C1.4 -- C1.5 1 m; B C1.6 -- C1.7 1 m; C C1.6 -- C1.7 1 m }\n'
    variant = variant_of(text)
    figures = draw_sheets(variant)
    assert list(differences(variant, figures)) == []
    assert [measure(figure.svg).faults for figure in figures.values()] == [()] * len(figures)


def test_pages_are_filled() -> None:
    # The truck has 31 declared sheets; power and ground distribution take what they need.
    pages: dict[str, int] = {}
    for figure in drawn("S4").figures.values():
        pages[figure.number] = pages.get(figure.number, 0) + 1
    declared = [count for number, count in pages.items() if number in drawn("S4").variant.sheets]
    assert sum(pages.values()) <= 66
    assert sum(count <= 2 for count in declared) >= 0.8 * len(declared)


def test_a_connector_says_once_on_a_page_where_it_is(variant_of: Make) -> None:
    text = HEAD + 'harness k "K"\nconnector C1 "Gaiter" 8 cavities h -- k { at cab "behind the far pillar" }\n'
    text += 'switch S1 "Switch" { positions off on; contact 1 2 when on }\n'
    text += 'circuit 40 "There" 1 mm2 BU in h { A F1.2 -- C1.1 1 m; C C1.2 -- E1.1 1 m; D E1.2 -- G1 1 m }\n'
    text += 'circuit 41 "Back" 1 mm2 BU in k { A C1.1 -- S1.1 1 m; B S1.2 -- C1.2 1 m }\n'
    variant = variant_of(text + 'sheet 5 "One" { circuits 40 41 }\n')
    figures = draw_sheets(variant)
    assert figures["5"].svg.count(">C1<") == 2, "above the switch and below it"
    assert figures["5"].svg.count("far pillar") + figures["5"].svg.count(">far<") == 1
    assert list(differences(variant, figures)) == []
