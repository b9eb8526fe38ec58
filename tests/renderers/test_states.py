"""Wiring sheets in a state: which are published, what they say, and what is left out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from compiler.assembly.project import find_project
from compiler.circuit.graph import Graph
from compiler.model.items import Point
from compiler.model.variant import Variant
from compiler.network.meter import Meter
from compiler.network.network import Network
from compiler.network.settle import settle
from compiler.network.state import state_of_facts
from compiler.network.world import World
from renderers.around import Around
from renderers.document import Figure, Group, Pack, Paragraph
from renderers.pack import build_pack
from renderers.publish import PublishError, publish
from renderers.sheets import draw_sheets
from tests.renderers.vehicles import SMALL, figures, read

WHOLE = SMALL.replace("length ?", "1 m")


def groups(pack: Pack) -> list[Group]:
    return [block for block in pack.section("states").blocks if isinstance(block, Group)]


def svg_of(group: Group) -> str:
    (figure,) = [leaf for leaf in group.blocks if isinstance(leaf, Figure)]
    return figure.svg


def test_a_state_publishes_its_sheets_lit_with_voltages(tmp_path: Path) -> None:
    variant = read(tmp_path, WHOLE)
    pack = build_pack(variant, draw_sheets(variant))
    (group,) = groups(pack)
    assert "Screen on" in group.title
    svg = svg_of(group)
    assert 'data-life="live"' in svg
    network = Network(Graph(variant), World(variant.header.supply_v))
    meter = Meter(settle(network, state_of_facts(network, variant.states["Screen on"].set)))
    read_there = meter.volts(Point("C40", "7", 1))
    assert read_there is not None
    assert f">{read_there:.1f} V<" in svg
    table = next(t for t in pack.tables if t.id == "states")
    assert [c.text for c in table.rows[0].cells[:2]] == ["Screen on", "S21 on"]
    assert table.rows[0].cells[2].runs[0].link == group.id


def test_a_sheet_leads_to_its_states(tmp_path: Path) -> None:
    """Beside the title where that leaves the line of a printed page whole, else in a line of its own on the screen."""
    long = "Screen on, side lamps on, tailgate open, key at first"
    for name, lines in (("Screen on", 1), (long, 2), (f"{long} or second position", 1)):
        shown = read(tmp_path, WHOLE.replace('state "Screen on"', f'state "{name}"'))
        pack = build_pack(shown, draw_sheets(shown))
        (state,) = groups(pack)
        (sheet,) = [b for b in pack.section("sheets").blocks if isinstance(b, Group) and b.id == "sheet-38"]
        told = [leaf for leaf in sheet.blocks if isinstance(leaf, Paragraph)]
        assert len(told) == lines
        led = state.id if len(name) < 70 else "section-states"
        assert [run.link for run in told[-1].runs if run.link][-1] == led
        assert "".join(run.text for run in told[0].runs).startswith("See also sheet 39")


def test_the_same_state_gives_the_same_sheet(tmp_path: Path) -> None:
    variant = read(tmp_path, WHOLE)
    drawn = draw_sheets(variant)
    assert build_pack(variant, drawn).section("states") == build_pack(variant, drawn).section("states")


def test_a_state_without_sheets_is_published_when_it_is_asked_for(tmp_path: Path) -> None:
    variant = read(tmp_path, WHOLE.replace("; sheets 38", ""))
    drawn = figures(variant)
    assert "states" not in {section.id for section in build_pack(variant, drawn).sections}
    asked = build_pack(variant, drawn, around=Around(states=("Screen on",)))
    assert [group.title.split("  ")[0] for group in groups(asked)] == ["Sheet 38", "Sheet 39"]


def test_publish_asks_for_a_state_and_refuses_one_that_is_not_there(tmp_path: Path) -> None:
    variant = read(tmp_path, WHOLE.replace("; sheets 38", ""))
    project = find_project(tmp_path)
    publish(variant, project, tmp_path / "out", formats=["csv"], states=["Screen on"])
    assert (
        (tmp_path / "out" / "csv" / "states.csv").read_text("utf-8-sig").splitlines()[1].startswith("Screen on,S21 on")
    )
    with pytest.raises(PublishError, match="there is no state Screen off; did you mean Screen on"):
        publish(variant, project, tmp_path / "other", formats=["csv"], states=["Screen off"])
    assert not (tmp_path / "other").exists()


def test_what_cannot_be_computed_is_said_and_not_drawn(tmp_path: Path) -> None:
    variant = read(tmp_path, WHOLE.replace("set S21 on", "set S21 up"))
    pack = build_pack(variant, figures(variant))
    assert groups(pack) == []
    table = next(t for t in pack.tables if t.id == "states")
    assert table.rows[0].cells[3].text == "fuse F9 fitted; S21 has no position up; it has off, on"


@pytest.mark.parametrize("drop", ["battery", "sheet"])
def test_nothing_is_published_without_a_battery_or_the_sheet(drop: str, tmp_path: Path) -> None:
    variant: Variant = read(tmp_path, WHOLE)
    if drop == "battery":
        variant = replace(variant, devices={k: d for k, d in variant.devices.items() if d.kind != "battery"})
    pack = build_pack(variant, figures(variant) if drop == "battery" else {})
    assert "states" not in {section.id for section in pack.sections}
