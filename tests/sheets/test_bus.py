"""What hangs on a bus without a wire is drawn below its bar, joined to it; what cannot hang there says where it is joined."""

from __future__ import annotations

import re
from collections.abc import Callable

from compiler.model.variant import Variant
from renderers.sheets import draw_sheets
from renderers.sheets.measure import measure

from .netlist import differences

Make = Callable[[str], Variant]

RAIL = """
variant V "V" { model-year 2027 }
zone cab "Cab"
harness h "H"
structure engine "Engine"
battery BT1 "Battery" 12.6 V 70 Ah 6 mohm
bus RAIL "Glow rail"
ground G1 "Ground"
glow-plug HR1 "Glow plug, cylinder 1" 1 case engine 120 W from RAIL
glow-plug HR2 "Glow plug, cylinder 2" 1 case engine 120 W from RAIL
lamp E1 "Lamp" 1 2 5 W from RAIL
circuit 1 "Feed" 6 mm2 RD in h { A BT1.+ -- RAIL 1 m; B BT1.- -- G1 1 m BK; C E1.2 -- G1 1 m BK }
sheet 5 "All" { circuits 1; components HR1 HR2 }
"""


def test_what_hangs_on_a_bus_is_joined_to_its_bar(variant_of: Make) -> None:
    variant = variant_of(RAIL)
    figures = draw_sheets(variant)
    svg = figures["5"].svg
    assert list(differences(variant, figures)) == []
    assert measure(svg).clean
    (bus,) = re.findall(r'<g class="bus" data-item="RAIL".*?</g></g>(?=<g class="(?:device|ground|bus|label)")', svg)
    assert re.findall(r'class="symbol" data-item="(HR.)"', bus) == ["HR1", "HR2"]
    assert {"HR1.1", "HR2.1", "HR1.case", "HR2.case"} <= set(re.findall(r'data-terminal="([^"]*)"', bus))
    assert not re.findall(r'class="device" data-item="HR', svg)
    # Each plug's line runs from the bar to the circle of its terminal.
    x, y, wide = map(float, re.findall(r'<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="3"', bus)[0])
    circles = re.findall(r'data-terminal="HR.\.1"[^>]*><circle cx="([\d.]+)" cy="([\d.]+)" r="1.9"', bus)
    assert len(circles) == 2
    for cx, cy in circles:
        assert f'd="M{cx} {y + 3:g}L{cx} {float(cy) - 1.9:g}"' in bus
        assert x < float(cx) < x + wide


def test_what_has_wires_as_well_says_where_it_is_joined(variant_of: Make) -> None:
    svg = draw_sheets(variant_of(RAIL))["5"].svg
    assert ">1 on RAIL<" in svg
    assert 'class="device" data-item="E1"' in svg


def test_a_bus_that_power_distribution_does_not_show_is_not_looked_for_there(variant_of: Make) -> None:
    more = 'fuse-block FB1 "Block" { bus BUS "Bus"; fuse F1 "One" slot 1 10 A mini from BUS }\n'
    fed = 'circuit 2 "Feed" 6 mm2 RD in h { A BT1.+ -- BUS 1 m; B F1.2 -- E2.1 1 m }\nlamp E2 "Lamp" 1 2 5 W\n'
    figures = draw_sheets(variant_of(RAIL + more + fed + 'sheet 6 "Two" { circuits 2 }\n'))
    assert ">see sheet P<" in figures["6"].svg
    assert "see sheet P" not in figures["5"].svg
