"""Devices, kinds, sheets, twists, waivers and names: what assembly makes of them."""

from __future__ import annotations

from pathlib import Path

import pytest

from compiler.assembly.names import alike, nearest
from compiler.assembly.project import ProjectError, find_project
from tests.assembly.sources import assembled, said, variant_of


def test_terminals_come_from_the_line_the_parts_and_the_case(tmp_path: Path) -> None:
    text = """
bus B1
lamp E1
fuse F1 10 A blade from B1
horn H1 1 case chassis 60 W
relay K1
switch S1 { positions off on; contact 1 5 when on; lamp 5 3 1.2 W "Tell-tale" }
printed-circuit A1 { trace 1 L1 L2; spare 7 }
"""
    devices = variant_of(tmp_path, text).devices
    assert {key: device.terminals for key, device in devices.items()} == {
        "E1": ("1", "2"),
        "F1": ("1", "2"),
        "H1": ("1", "case"),
        "K1": ("86", "85", "30", "87"),
        "S1": ("1", "5", "3"),
        "A1": ("1", "L1", "L2", "7"),
    }
    assert devices["K1"].positions == ("at-rest", "energised")
    assert [part.label for part in devices["S1"].parts] == ["", "tell-tale"]
    assert (devices["F1"].bus, devices["F1"].word("type"), devices["H1"].case) == ("B1", "blade", "chassis")


def test_a_lone_hyphen_and_names_like_currents_are_terminals(tmp_path: Path) -> None:
    text = """
motor M1 "Fan" + - 90 W
component X1 { terminals 1A 2 A -; spare 3A }
switch S1 { positions 0A 1A; contact 1A 2A 10 A when 0A 1A }
relay K1 { coil 1A 2A 120 ohm }
"""
    devices = variant_of(tmp_path, text).devices
    assert devices["M1"].terminals == ("+", "-")
    assert devices["M1"].ratings == {"power": 90.0}
    assert devices["X1"].terminals == ("1A", "2", "A", "-", "3A")
    assert devices["X1"].spare == {"3A"}
    assert devices["S1"].positions == ("0A", "1A")
    (contact,), (coil,) = devices["S1"].parts, devices["K1"].parts
    assert (contact.terminals, contact.when, contact.ratings) == (("1A", "2A"), ("0A", "1A"), {"current": 10.0})
    assert (coil.terminals, coil.ratings) == (("1A", "2A"), {"resistance": 120.0})


def test_a_kind_of_the_source_gives_its_parts_to_each_device(tmp_path: Path) -> None:
    text = """
kind rear-lamp "Rear lamp" { lamp 1 4 21 W "stop"; lamp 2 4 5 W "tail" }
rear-lamp E5 "Left"
rear-lamp E6 "Right"
"""
    variant = variant_of(tmp_path, text)
    assert [part.label for part in variant.devices["E6"].parts] == ["stop", "tail"]
    assert variant.devices["E5"].terminals == ("1", "4", "2")
    assert variant.declared_kinds["rear-lamp"].title == "Rear lamp"
    assert "rear-lamp" in variant.kinds


def test_a_built_in_kind_keeps_its_name(tmp_path: Path) -> None:
    done = assembled(tmp_path, "kind lamp { lamp 1 2 5 W }\nlamp E1 21 W")
    assert said(done) == [("syntax", "S4.loom:2:6", "the kind `lamp` is built in")]
    assert done.variant is not None
    assert done.variant.devices["E1"].ratings == {"power": 21.0}


def test_when_needs_a_position(tmp_path: Path) -> None:
    done = assembled(tmp_path, "switch S1 { positions off on; contact 1 2 when }\nswitch S2 { contact 1 2 when on }")
    assert said(done) == [("syntax", "S4.loom:2:43", "`when` names no position")]
    assert done.variant is not None
    assert [name.says for name in done.variant.unresolved] == ["S2 has no positions, and so no position on"]


def test_a_twist_names_wires(tmp_path: Path) -> None:
    text = "ground G1\ncircuit 1 { A  G1 -- ?; B  G1 -- ? }\ntwist TP1 { wires 1A 1C }"
    done = assembled(tmp_path, text)
    assert done.variant is not None
    assert [word.text for word in done.variant.twists["TP1"].wires] == ["1A"]
    assert [(name.name, name.sort) for name in done.variant.unresolved] == [("1C", "wire")]


def test_a_zone_needs_sides(tmp_path: Path) -> None:
    for sides in ("nan by 10", "10 by inf", "0 by 10", "10 by 1e3", "1000000 by 10"):
        (finding,) = assembled(tmp_path, f"zone cab {sides}").findings
        assert finding.says == "the outline of a zone is two numbers from 1 to 100000"
    zone = variant_of(tmp_path, "zone cab 240.5 by 140").zones["cab"]
    assert (zone.width, zone.height) == (240.5, 140.0)


def test_a_waiver_covers_its_statement_or_its_extension_and_the_item(tmp_path: Path) -> None:
    files = {
        "S4.loom": 'variant S4\nuse "a.loom"\nextend circuit 1 {\n  allow lone-splice "two"\n  B  G1 -- ?\n}',
        "a.loom": 'ground G1 allow unlocated "one"\ncircuit 1 {\n  allow lone-splice "three"\n  A  G1 -- ?\n}',
    }
    variant = variant_of(tmp_path, files)
    covered = {
        waiver.reason: [f"{span}-{span.end_position.line}" for span in (waiver.covers, *waiver.also)]
        for waiver in variant.waivers
    }
    assert covered == {
        "one": ["a.loom:1:1-1"],
        "two": ["S4.loom:3:1-6", "a.loom:2:1-5"],
        "three": ["a.loom:2:1-5"],
    }


@pytest.mark.parametrize(
    ("name", "known", "found"),
    [
        ("c40", ("C4", "C40"), "C40"),
        ("SPIO1", ("SP100", "SP101"), "SP101"),
        ("C4O", ("C4", "C40"), "C40"),
        ("QXSP101", ("SP102", "SP101"), "SP101"),
        ("tailgte", ("tail", "tailgate"), "tailgate"),
        ("K77", ("K7", "S1"), "K7"),
        ("E9", ("E1", "E2", "E3"), ""),
        ("12", ("13", "11"), ""),
        ("?", ("A", "B"), ""),
        ("completely-other", ("C40", "K7"), ""),
    ],
)
def test_what_a_name_was_meant_to_be(name: str, known: tuple[str, ...], found: str) -> None:
    assert nearest(name, known) == found


def test_alike_sees_only_case_and_letters_for_figures() -> None:
    assert alike("al", ("A1", "A2")) == "A1"
    assert alike("A3", ("A1", "A2")) == ""


@pytest.mark.parametrize(
    ("settings", "says"),
    [
        ("[severity]\nlone-splice = 'grave'", "severity of lone-splice is 'grave'; give one of error, warning"),
        ("[policies]\nx = 1", "unknown table [policies]"),
        ("severity = 1", "[severity] is a table"),
        ("[project]\nname = 7", "[project] name is a text in quotes"),
        ("[severity", "loomwright.toml:"),
    ],
)
def test_settings_that_cannot_be_used(tmp_path: Path, settings: str, says: str) -> None:
    (tmp_path / "loomwright.toml").write_text(settings, "utf-8")
    with pytest.raises(ProjectError) as caught:
        find_project(tmp_path)
    assert says in str(caught.value)


def test_the_nearest_settings_upward_make_the_project(tmp_path: Path) -> None:
    inner = tmp_path / "line" / "variants"
    inner.mkdir(parents=True)
    (tmp_path / "line" / "loomwright.toml").write_text("[project]\nname = 'Sandpiper'", "utf-8")
    project = find_project(inner / "S4.loom")
    assert (project.root, project.settings.name) == (tmp_path / "line", "Sandpiper")
    assert project.shown(inner / "S4.loom") == "variants/S4.loom"
