"""A small vehicle that has one of everything, hostile words for it, and stand-in drawings."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from compiler.assembly.assemble import assemble
from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from compiler.model.variant import Variant
from renderers.drawings import svg
from renderers.sheets import SheetFigure

SMALL = """
variant T1 "TITLE" {
  series "Tern"
  model-year 2027
  issue "1"
  options HEATED-SCREEN
}
option HEATED-SCREEN "Heated screen"
zone cab "Cab" 240 by 140
zone tail "Tail" 240 by 140
harness body "Body harness"
harness cab "Cab harness"
harness tailgate "Tailgate harness"
battery BT1 "Battery" 12.6 V 70 Ah 6 mohm at cab (1, 2)
fuse-block FB1 "Cab fuse block" at cab (118, 64) "behind the lid" access 2 min {
  bus RUN-BUS "Run bus"
  fuse F9 "Rear screen" slot 9 25 A blade from RUN-BUS
  fuse F10 "Side lamps" slot 10 5 A mini from RUN-BUS
  relay K7 "Rear screen relay" slot R1
}
fusible-link FL1 "Main link" 0.8 mm2 0.15 m at cab (8, 8)
ground G1 "Left kick panel" on chassis at cab (2, 3)
ground G2 "Tailgate post" on chassis at tail (2, 3)
splice SP1 "Lamp feed" in cab at cab (3, 3) "300 mm from C12" access 4 min
connector C40 "Tailgate hinge" 10 cavities body -- tailgate at tail (40, 22) {
  spare 1 2 3 4 5 6
  plugged 10
}
connector C12 "Bulkhead" 6 cavities cab -- body at cab (9, 9) { numbered A1..B3; spare rest }
heater R3 "Rear screen" 1 2 220 W at tail (2, 2) { connector C51 2 cavities }
lamp E3 "Left side lamp" 1 2 5 W at cab (5, 5)
lamp E4 "Right side lamp" 1 2 5 W at cab (230, 5)
switch S21 "Rear screen switch" at cab (90, 40) {
  positions off on
  contact 1 5 when on
}
circuit 1 "Battery feed" 2 mm2 RD in cab {
  A BT1.+ -- FL1.1 1 m
  B FL1.2 -- RUN-BUS 1 m
  C BT1.- -- G1 1 m BK
}
circuit 48 "CIRCUIT" 2.5 mm2 BK/WH in body {
  A F9.2 -- K7.30 1 m in cab
  B K7.87 -- C12.A1 1 m in cab
  C C12.A1 -- C40.7 2 m note "NOTE"
  D C40.7 -- R3.1 1 m in tailgate
  G RUN-BUS -- K7.86 1 m in cab
  H K7.85 -- S21.1 in cab length ?
}
circuit 49 "Rear screen ground" 2.5 mm2 BK in tailgate {
  A R3.2 -- C40.8 1 m
  B C40.8 -- G2 0.4 m in body colour ?
  C S21.5 -- G1 1 m in cab
}
circuit 50 "Side lamps" 0.75 mm2 BN in cab {
  A F10.2 -- SP1 1 m
  B SP1 -- E3.1 1 m
  C SP1 -- E4.1 1 m
  D E3.2 -- G1 1 m BK
  E E4.2 -- G1 1 m BK
}
circuit 51 "Loose end" 1 mm2 GNYE in body { A C40.9 -- ? 1 m }
sheet 38 "Rear screen" { circuits 1 48 49; see 39 }
sheet 39 "Side lamps" { circuits 48 50; note "drawn with the lamps off" }
state "Screen on" { set S21 on; sheets 38; note "fuse F9 fitted" }
"""

# Texts of the small vehicle that hostile words take the place of.
TITLES = (
    "TITLE|CIRCUIT|NOTE|Rear screen|Left side lamp|Cab|Body harness|Lamp feed|behind the lid|Left kick panel"
    "|Tailgate hinge|Heated screen|drawn with the lamps off|Main link|Tern|Screen on|fuse F9 fitted"
).split("|")

# Markup of every page form, formulas, a direction override, and letters that the print font does not have.
HOSTILE = (
    "<script>alert(1)</script>",
    "</style><img src=x onerror=alert(2)>",
    "#panic(1) *b* _i_ $x$ @ref <lab> `raw` [x] // c",
    "=1+2",
    "@SUM(A1)",
    "' onclick='alert(3)",
    "{{ 7*7 }} {% raw %}",
    "]]> --> &amp; &#60;",
    "up \u202e down \u2066",
    "日本 \U0001f600 Ω",
    "\\u{41} \\x41 %s {0}",
)


def read(folder: Path, text: str) -> Variant:
    """The variant of a source text, assembled in `folder`."""
    path = folder / "t.loom"
    path.write_text(text, "utf-8")
    variant = assemble(Library(find_project(path)), path).variant
    assert variant is not None
    return variant


def figures(variant: Variant) -> Mapping[str, SheetFigure]:
    """Stand-in drawings: each wire of a sheet's circuits as a line. Fast, and with the marks that real sheets have."""
    drawn = {}
    for sheet in variant.sheets.values():
        parts: list[str] = []
        places: dict[str, str] = {}
        for circuit, _ in sheet.circuits:
            for wire in variant.wires_of_circuit(circuit.text):
                y = 20.0 + 12 * len(parts)
                line = svg.element("path", {"d": f"M20 {y}L300 {y}", "stroke": "#000", "stroke-width": 4})
                marks = {"class": "wire", "data-wire": wire.id, "data-circuit": wire.circuit}
                parts.append(svg.element("g", marks, line + svg.text(310, y, wire.id, 7)))
                places.update({end.point.item: "B2" for end in wire.ends if end.point})
        picture = svg.drawing(400, 300, parts)
        drawn[sheet.id] = SheetFigure(sheet.id, sheet.title, picture, 400, 300, f"Sheet {sheet.id}", sheet.id, places)
    return drawn
