"""The texts of a new project. A test checks them as a user would."""

from __future__ import annotations

from collections.abc import Mapping

_SETTINGS = """\
[project]
name = "First trucks"

# A check's severity in this project: error, warning, note or off. `loomwright explain` lists the checks.
[severity]
"""

_VARIANT = """\
# One variant of the vehicle line: what it is, the fragments it is made of, and what it alone has.
variant A1 "First truck" {
  model-year 2027
  supply     12.6 V
}

use "shared/places.loom"

battery BT1 "Battery" 12.6 V 70 Ah at cab (20, 20) "under the seat"
fuse-block FB1 "Fuse block" at cab (60, 40) "left of the steering column" access 1 min {
  bus  BAT-BUS "Battery bus"
  fuse F1      "Horn" slot 1 10 A blade from BAT-BUS
}
ground G1 "Cab floor" at cab (30, 30)
horn H1 "Horn" 1 2 60 W at cab (100, 20)
switch S1 "Horn button" at cab (80, 60) {
  positions released pressed
  contact 1 2 when pressed
}

circuit 1 "Battery feed" 10 mm2 RD in cab {
  A  BT1.+  -- BAT-BUS  0.8 m  allow unfused-feed "battery cable: not fused, common practice"
}
circuit 2 "Horn feed" 1 mm2 RD/BK in cab {
  A  F1.2  -- S1.1  1.2 m
}
circuit 3 "Horn" 1 mm2 BK/YE in cab {
  A  S1.2  -- H1.1  0.9 m
}
circuit 4 "Ground" 10 mm2 BN in cab {
  A  BT1.-  -- G1  0.4 m
  B  H1.2   -- G1  0.7 m  1 mm2
}

sheet 1 "Horn" { circuits 1 2 3 4 }
"""

_PLACES = """\
# Shared by all variants: zones with their outlines, and harnesses.
zone cab "Cab" 200 by 120
harness cab "Cab harness"
"""

# path below the project folder -> text
FILES: Mapping[str, str] = {
    "loomwright.toml": _SETTINGS,
    "A1.loom": _VARIANT,
    "shared/places.loom": _PLACES,
}
