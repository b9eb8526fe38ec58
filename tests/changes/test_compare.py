"""What is told of small vehicles whose changes are more than one edit, and how things are known again."""

from __future__ import annotations

from pathlib import Path

import pytest

from compiler.changes.compare import compare
from compiler.changes.words import heading, sentence
from tests.changes.vehicles import demo_inventory, of_text, said, straight, turned

VEHICLE = """
variant T1 "Truck" {
  model-year 2027
  issue "1"
  options TOWING
}
option TOWING "Towing socket"
zone cab "Cab" 100 by 100
harness cab "Cab harness"
harness tail "Tail harness"
battery BT1 "Battery" 12.6 V 70 Ah at cab (1, 1)
fuse-block FB1 "Fuse block" at cab (2, 2) access 2 min {
  bus BAT "Battery bus"
  fuse F1 "Lamps" slot 1 10 A mini from BAT
  fuse F2 "Horn" slot 2 15 A mini from BAT
}
ground G1 "Left" on chassis at cab (3, 3)
ground G2 "Right" on chassis at cab (4, 3)
splice SP1 "Lamp feed" in cab at cab (5, 5)
connector C1 "Sill" 6 cavities cab -- tail at cab (6, 6) { plugged 6; spare rest }
lamp E1 "Left lamp" 1 2 5 W at cab (7, 7) { connector C2 2 cavities }
lamp E2 "Right lamp" 1 2 5 W at cab (8, 7)
horn H1 "Horn" 1 2 60 W at cab (9, 9)
switch S1 "Switch" at cab (10, 10) { positions off on; contact 1 2 when on; contact 1 3 when on }
module A1 "Module" at cab (20, 20) {
  connector C11 4 cavities { spare rest }
  connector C12 4 cavities { spare rest }
  pin C11.1 supply
  pin C12.2 ground
}
circuit 1 "Feed" 6 mm2 RD in cab { A BT1.+ -- BAT 1 m }
circuit 10 "Lamps" 1 mm2 BN in cab {
  A F1.2 -- SP1 1 m
  B SP1 -- E1.1 1 m
  C SP1 -- C1.1 1 m
  D C1.1 -- E2.1 1 m in tail
}
circuit 11 "Lamp ground" 1 mm2 BK in cab {
  A E1.2 -- G1 1 m
  B E2.2 -- G1 1 m
}
circuit 20 "Horn" 1.5 mm2 GN in cab {
  A F2.2 -- S1.1 1 m
  B S1.2 -- H1.1 1 m
  C H1.2 -- G2 1 m BK recoloured "ground"
}
circuit 30 "Module" 0.5 mm2 WH in cab {
  A S1.3 -- C11.1 1 m
  B C12.2 -- G2 1 m
}
state "Horn on" { set S1 on }
sheet 1 "Lamps" { circuits 1 10 11 }
sheet 2 "Horn" { circuits 20 30 }
"""


def told(folder: Path, *changes: tuple[str, str], old: str = VEHICLE) -> list[str]:
    """The sentences that come of replacing texts, each of which stands in the source once."""
    new = old
    for before, after in changes:
        assert new.count(before) == 1, before
        new = new.replace(before, after)
    (folder / "old").mkdir(exist_ok=True)
    (folder / "new").mkdir(exist_ok=True)
    first, second = of_text(folder / "old", old), of_text(folder / "new", new)
    found = compare(first, second)
    assert turned(found) == straight(compare(second, first))
    return [sentence(change, found) for change in found.changes]


def test_nothing_is_told_of_the_same_vehicle(tmp_path: Path) -> None:
    assert told(tmp_path) == []


def test_layout_and_the_order_of_statements_say_nothing(tmp_path: Path) -> None:
    lines = 'ground G1 "Left" on chassis at cab (3, 3)\nground G2 "Right" on chassis at cab (4, 3)\n'
    first, second = lines.splitlines(keepends=True)
    assert (
        told(tmp_path, (lines, f"{second}\n# remark\n{first}"), ("A BT1.+ -- BAT 1 m", "A BAT -- BT1.+ 100 cm")) == []
    )


def test_a_wire_put_in_the_middle_renumbers_those_behind_it(tmp_path: Path) -> None:
    found = told(
        tmp_path,
        (
            "  C SP1 -- C1.1 1 m\n  D C1.1 -- E2.1 1 m in tail\n",
            "  C SP1 -- S1.9 1 m\n  D SP1 -- C1.1 1 m\n  E C1.1 -- E2.1 1 m in tail\n",
        ),
        ("positions off on;", "positions off on; terminals 9;"),
    )
    assert found == [
        "wire 10C added: SP1 -- S1.9, 1 mm2 BN, 1 m, in cab",
        "wires 10D 10E now called: 10C 10D -> 10D 10E",
        'switch S1 "Switch" terminal added: 9',
        'splice SP1 "Lamp feed" now also joins: 10C',
    ]


def test_a_new_circuit_number_is_one_statement(tmp_path: Path) -> None:
    found = told(tmp_path, ('circuit 10 "', 'circuit 70 "'), ("circuits 1 10 11", "circuits 1 70 11"))
    assert found == ['circuit 70 "Lamps" now called: 10 -> 70']


def test_a_new_circuit_number_with_another_colour(tmp_path: Path) -> None:
    found = told(
        tmp_path, ('circuit 10 "Lamps" 1 mm2 BN', 'circuit 70 "Lamps" 1 mm2 OG'), ("circuits 1 10", "circuits 1 70")
    )
    assert found == ['circuit 70 "Lamps" now called: 10 -> 70', "wires 70A 70B 70C 70D recoloured: BN -> OG"]


def test_a_circuit_split_and_merged(tmp_path: Path) -> None:
    behind = "  C SP1 -- C1.1 1 m\n  D C1.1 -- E2.1 1 m in tail\n}\n"
    parted = f'}}\ncircuit 12 "Right lamp" 1 mm2 BN in cab {{\n{behind}'
    found = told(tmp_path, (behind, parted), ("circuits 1 10 11", "circuits 1 10 11 12"))
    assert found == [
        'circuit 12 "Right lamp" split off as another circuit: 10C 10D -> 12C 12D',
        'sheet 1 "Lamps" now also draws: 12',
    ]
    merged = told(tmp_path, (parted, behind), old=VEHICLE.replace(behind, parted))
    assert merged == ['circuit 10 "Lamps" merged into another circuit: 12C 12D -> 10C 10D']


def test_a_component_with_another_id(tmp_path: Path) -> None:
    assert told(
        tmp_path, ('horn H1 "', 'horn H7 "'), ("S1.2 -- H1.1", "S1.2 -- H7.1"), ("H1.2 -- G2", "H7.2 -- G2")
    ) == ['horn H7 "Horn" now called: H1 -> H7']


def test_a_plug_with_another_id(tmp_path: Path) -> None:
    assert told(
        tmp_path, ("connector C11 4", "connector C91 4"), ("pin C11.1", "pin C91.1"), ("-- C11.1", "-- C91.1")
    ) == ["connector C91 now called: C11 -> C91"]


def test_a_plug_put_on_a_component_reroutes_nothing(tmp_path: Path) -> None:
    found = told(tmp_path, ("60 W at cab (9, 9)", "60 W at cab (9, 9) { connector C7 2 cavities }"))
    assert found == ["connector C7 added: 2 cavities"]


def test_a_harness_and_a_zone_with_other_ids(tmp_path: Path) -> None:
    text = (
        VEHICLE.replace('harness tail "Tail', 'harness rear "Tail')
        .replace("in tail", "in rear")
        .replace("-- tail", "-- rear")
    )
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    found = compare(of_text(tmp_path / "a", VEHICLE), of_text(tmp_path / "b", text))
    assert said(found) == [("harness-renamed", ("rear",), "tail", "rear")]
    text = VEHICLE.replace('zone cab "', 'zone front "').replace("at cab", "at front")
    found = compare(of_text(tmp_path / "a", VEHICLE), of_text(tmp_path / "b", text))
    assert said(found) == [("zone-renamed", ("front",), "cab", "front")]


def test_two_things_that_might_be_the_same_are_not_guessed_at(tmp_path: Path) -> None:
    pair = 'ground G8 "Spare"\nground G9 "Spare"\n'
    found = told(tmp_path, (pair, 'ground G6 "Spare"\nground G7 "Spare"\n'), old=VEHICLE + pair)
    assert [one.split(":")[0] for one in found] == [
        'ground G6 "Spare" added',
        'ground G7 "Spare" added',
        'ground G8 "Spare" removed',
        'ground G9 "Spare" removed',
    ]


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ("lamp E2", "led E2", 'led E2 "Right lamp" replaced by another kind: lamp, 5 W -> led, 5 W'),
        ("slot 2 15 A mini", "slot 2 15 A blade", 'fuse F2 "Horn" type changed: mini -> blade'),
        ('F2 "Horn" slot 2 15 A mini from BAT', 'F2 "Horn" slot 2 15 A mini', 'fuse F2 "Horn" feed no longer given: BAT'),
        ("access 2 min", "access 9 min", 'fuse block FB1 "Fuse block" access changed: 2 min -> 9 min'),
        ("contact 1 3 when on", "contact 1 3 when off", 'switch S1 "Switch" changed inside: contact 1 3: when on -> contact 1 3: when off'),
        ("pin C12.2 ground", "pin C12.2 ground; pin C12.3 input", 'module A1 "Module" now also has: pin C12.3: input'),
        ("6 cavities cab", "8 cavities cab", 'connector C1 "Sill" cavities added: 7 8'),
        ("plugged 6", "plugged 5 6", 'connector C1 "Sill" cavity 5: spare -> plugged'),
        ("plugged 6", "plugged 6; doubled 1 on cab", 'connector C1 "Sill" cavity now doubled: 1@cab'),
        ("plugged 6", "plugged 6; rows 2", 'connector C1 "Sill" rows of cavities now given: 3 3'),
        ("plugged 6", "plugged 6; pins on tail", 'connector C1 "Sill" half with the pins now given: tail'),
        ("on chassis at cab (4, 3)", "on frame at cab (4, 3)", 'ground G2 "Right" bolted to another structure: chassis -> frame'),
        ("G2 1 m BK", "G2 1 m BK colour ?", "wire 20C colour no longer known: BK"),
        ("E1.2 -- G1 1 m", "E1.2 -- G1 length ?", "wire 11A length no longer known: 1 m"),
        ("options TOWING", "options", "option TOWING \"Towing socket\" removed"),
        ('issue "1"', 'issue "2"', "vehicle new issue: 1 -> 2"),
        ('"Truck"', '"Lorry"', 'vehicle renamed: "Truck" -> "Lorry"'),
        ("-- G1 1 m\n}", '-- G1 1 m note "cut to length"\n}', 'wire 11B note now given: "cut to length"'),
        ("A E1.2 -- G1 1 m", "A E1.2 -- G1 1 m in tail", "wire 11A moved to another harness: cab -> tail"),
        ("set S1 on }", "set S1 on; sheets 2 }", 'state "Horn on" now also lit on sheets: 2'),
        ("circuits 20 30 }", "circuits 20 30; see 1 }", 'sheet 2 "Horn" now also points to: 1'),
        ("circuits 20 30 }", 'circuits 20 30; system "Signals" }', 'sheet 2 "Horn" system now given: Signals'),
    ],
)  # fmt: skip
def test_a_change_is_one_sentence(tmp_path: Path, before: str, after: str, says: str) -> None:
    old = VEHICLE + 'structure frame "Frame"\n'
    assert told(tmp_path, (before, after), old=old) == [says]


def test_a_state_with_other_settings(tmp_path: Path) -> None:
    assert told(tmp_path, ("set S1 on }", "set S1 off }")) == [
        'state "Horn on" settings changed: S1 on -> S1 off',
    ]


def test_two_variants_differ_and_nothing_changed() -> None:
    found = compare(demo_inventory("S2"), demo_inventory("S4"))
    assert heading(found) == "Differences between S2 and S4"
    sentences = [sentence(change, found) for change in found.changes]
    assert 'option TOWING "Towing equipment, 13-pin socket", only in S4' in sentences
    assert 'battery BT1 "Battery, heavy duty", rating: 90 Ah, 5 mohm -> 110 Ah, 4 mohm' in sentences
    assert 'splice SP17 "Relay coils, K2", wires only in S4: 208F' in sentences
    assert not [one for one in sentences if " added" in one or " removed" in one or "recoloured" in one]
    assert turned(found) == straight(compare(demo_inventory("S4"), demo_inventory("S2")))
    assert (found.new_sheets, found.gone_sheets) == (("33", "44", "46"), ("50",))


def test_sheets_are_those_that_draw_what_changed(tmp_path: Path) -> None:
    def sheets(before: str, after: str) -> tuple[str, ...]:
        for name in ("a", "b"):
            (tmp_path / name).mkdir(exist_ok=True)
        new = of_text(tmp_path / "b", VEHICLE.replace(before, after))
        return compare(of_text(tmp_path / "a", VEHICLE), new).sheets

    assert sheets('"Horn" slot 2 15 A', '"Horn" slot 2 20 A') == ("2",)
    assert sheets("1 mm2 BN", "1 mm2 OG") == ("1",)
    assert sheets("E1.2 -- G1 1 m", "E1.2 -- G1 7 m") == ()
    assert sheets('sheet 2 "Horn"', 'sheet 2 "Horns"') == ("2",)
    assert sheets("at cab (4, 3)", 'at cab (4, 3) "by the pedals"') == ("2",)
    assert sheets("at cab (4, 3)", "at cab (4, 9)") == (), "points are for the location figures"


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ('60 W at cab (9, 9)', '60 W at cab (9, 9) "left"', 'horn H1 "Horn" location reworded: cab (9, 9) -> cab (9, 9) "left"'),
        ('60 W at cab (9, 9)', '60 W at cab (9, 8) "left"', 'horn H1 "Horn" moved: cab (9, 9) -> cab (9, 8) "left"'),
        ('60 W at cab (9, 9)', '60 W', 'horn H1 "Horn" location no longer given: cab (9, 9)'),
        ('1 2 60 W', '1 2', 'horn H1 "Horn" rating no longer given: 60 W'),
        ('70 Ah', '70 Ah 5 mohm', 'battery BT1 "Battery" rating now given: 5 mohm'),
        ('15 A mini', '15 A mini colour red', 'fuse F2 "Horn" body colour now given: red'),
        ("S1.2 -- H1.1", "S1.2 -- ?", "wire 20B end no longer known: H1.1"),
        ("6 cavities cab", "7 cavities cab", 'connector C1 "Sill" cavity added: 7'),
        ("circuits 1 10 11", "circuits 11 10 1", None),
        ("components H1 S1", "components S1 H1", None),
        (" components H1 S1", "", None),
        ("components H1 S1", "components H1 S1 E1", 'sheet 2 "Horn" now also shows: E1'),
        ("C1.1 -- E2.1 1 m in tail", "C1.1 -- E2.1 length ? in tail", "wire 10D length no longer known: 1 m"),
        ("then H1 powered, F2 below 20 A", "then H1 powered, F2 below 19 A", 'expectation "Horn" outcome changed: F2 below 20 A -> F2 below 19 A'),
        ("then H1 powered, F2 below 20 A", "then H1 powered", 'expectation "Horn" no longer expects: F2 below 20 A'),
    ],
)  # fmt: skip
def test_what_is_told_says_no_more_than_what_was_done(tmp_path: Path, before: str, after: str, says: str | None) -> None:
    """A fact that is given now, other words for a place, another order of a list: none of it is work on the vehicle."""
    old = VEHICLE.replace("circuits 20 30 }", "circuits 20 30; components H1 S1 }")
    old += 'expect "Horn" { set S1 on then H1 powered, F2 below 20 A }\n'
    assert told(tmp_path, (before, after), old=old) == ([says] if says else [])


def test_a_fuse_block_with_another_id_is_one_statement(tmp_path: Path) -> None:
    """Words that quote its id quote the new one, and a sheet that names it shows nothing else."""
    old = VEHICLE.replace("circuits 20 30 }", "circuits 20 30; components FB1 }")
    old = old.replace("60 W at cab (9, 9)", '60 W at cab (9, 9) "above FB1"')
    found = told(
        tmp_path,
        ('fuse-block FB1 "', 'fuse-block FB9 "'),
        ("components FB1", "components FB9"),
        ('"above FB1"', '"above FB9"'),
        old=old,
    )
    assert found == ['fuse block FB9 "Fuse block" now called: FB1 -> FB9']


def test_ids_that_changed_places_stand_each_in_the_place_of_the_other(tmp_path: Path) -> None:
    ends = "  A E1.2 -- G1 1 m\n  B E2.2 -- G1 1 m\n"
    found = told(tmp_path, (ends, "  A E2.2 -- G1 1 m\n  B E1.2 -- G1 1 m\n"))
    assert found == ["wires 11A 11B now called: 11A 11B -> 11B 11A"]


def test_sheets_are_those_that_name_what_changed(tmp_path: Path) -> None:
    def sheets(before: str, after: str) -> tuple[str, ...]:
        for name in ("a", "b"):
            (tmp_path / name).mkdir(exist_ok=True)
        old = VEHICLE.replace("circuits 1 10 11 }", "circuits 1 10 11; see 2 }")
        assert old.count(before) == 1
        return compare(of_text(tmp_path / "a", old), of_text(tmp_path / "b", old.replace(before, after))).sheets

    assert sheets('zone cab "Cab"', 'zone cab "Front"') == ("1", "2")
    assert sheets('"Fuse block"', '"Fuses"') == ("1", "2")
    assert sheets("circuits 20 30 }", 'circuits 20 30; note "one" }') == ()
    assert sheets("5 W at cab (8, 7)", "21 W at cab (8, 7)") == (), "a lamp's power stands on no sheet"
    assert sheets('harness cab "Cab harness"', 'harness cab "Front harness"') == ()
    renumbered = VEHICLE.replace("circuits 1 10 11 }", "circuits 1 10 11; see 2 }")
    new = renumbered.replace("sheet 2", "sheet 12").replace("see 2", "see 12")
    assert compare(of_text(tmp_path / "a", renumbered), of_text(tmp_path / "b", new)).sheets == ("1", "12")


def test_what_is_gone_stood_on_the_sheet_that_it_had_a_circuit_to_itself_on(tmp_path: Path) -> None:
    """Sheet 2 draws circuit 10 too, but not the lamps of sheet 1."""
    old = VEHICLE.replace("circuits 20 30 }", "circuits 10 20 30 }")
    new = old.replace('lamp E1 "Left lamp" 1 2 5 W at cab (7, 7) { connector C2 2 cavities }\n', "")
    new = new.replace("  B SP1 -- E1.1 1 m\n", "").replace("  A E1.2 -- G1 1 m\n", "")
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    found = compare(of_text(tmp_path / "a", old), of_text(tmp_path / "b", new))
    assert [change.sheets for change in found.changes if change.what == "component-removed"] == [("1",)]
