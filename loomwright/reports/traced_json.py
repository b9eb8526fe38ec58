"""A trace as JSON, for programs. `version` rises when a field changes its meaning or goes.

    {
      "version": 1,
      "variant": "S4",
      "start": "F9.2",
      "end": "R3.1",                          null when only one place was asked for
      "length_m": 5.5,                        all wires passed; null when one of them is not known
      "loads": ["R3"],                        loads that the way passes: the two places are not one circuit
      "legs": [                               one with an end, or none where nothing joins the two;
        {                                     without an end one for each potential of the start
          "start": STOP,
          "ends": ["lamp, 5 W, to E3.2"],     what stands at the start and stops the tree
          "steps": [
            {
              "what": "wire",                 wire, cavity, inside (a device), joint (bus, trace), metal
              "start": STOP, "end": STOP,
              "depth": 0,                     0 on a way; in a tree 1 for what starts at its root
              "wire": "48B", "circuit": "48", "segment": "B",        empty for what is no wire
              "colour": "BK/WH", "size": "2.5 mm2", "length_m": 3.1,  null where not known
              "harness": "body",
              "device": "K7", "says": "contact, closed when energised",
              "sheets": ["38"],
              "again": false,                 in a tree: leads back to a place that stands there already
              "ends": []                      in a tree: what stops it behind this step
            }
          ]
        }
      ]
    }

STOP is `{"name", "side", "title", "place", "access_min", "sheets"}`; `side` tells the halves of a connector apart.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from compiler.circuit.trace import Step, Stop, Trace
    from compiler.model.variant import Variant

VERSION = 1


def traced_json(variant: Variant, trace: Trace) -> str:
    """A trace as JSON text with a line feed at its end."""
    data = {
        "version": VERSION,
        "variant": variant.id,
        "start": trace.start,
        "end": trace.end,
        "length_m": trace.length_m,
        "loads": list(trace.loads),
        "legs": [
            {"start": _stop(leg.start), "ends": list(leg.ends), "steps": [_step(step) for step in leg.steps]}
            for leg in trace.legs
        ],
    }
    return json.dumps(data, indent=2) + "\n"


def _stop(stop: Stop) -> dict[str, Any]:
    return {
        "name": stop.name,
        "side": stop.side,
        "title": stop.title,
        "place": stop.place,
        "access_min": stop.access_min,
        "sheets": list(stop.sheets),
    }


def _step(step: Step) -> dict[str, Any]:
    return {
        "what": step.what.value,
        "start": _stop(step.start),
        "end": _stop(step.end),
        "depth": step.depth,
        "wire": step.wire.id if step.wire else "",
        "circuit": step.circuit,
        "segment": step.segment,
        "colour": step.colour,
        "size": str(step.size) if step.size else None,
        "length_m": step.length_m,
        "harness": step.harness,
        "device": step.device.id if step.device else "",
        "says": step.says,
        "sheets": list(step.sheets),
        "again": step.again,
        "ends": list(step.ends),
    }
