"""Readings on a terminal, and as JSON for programs. `version` rises when a field changes its meaning or goes.

    {
      "version": 1,
      "variant": "S4",
      "state": {"S1": "run"},                             what was set
      "faults": ["48B open"],
      "energised": ["K7"],                                relays, starters and modules that are in
      "flashing": [{"name": "K12", "position": "closed", "closed_share": 0.5}],   read as it stands in that position
      "blown": ["fuse F9"],                               fuses that opened, in that order
      "unrest": [{"kind": "chatter", "relays": ["K5"]}],  what does not settle; of a race also its two "ends"
      "sources": [{"name": "battery BT1", "amperes": 18.31}],
      "fuses": [ ... ],                                   those that carry current, as under "currents"
      "readings": [
        {
          "place": "C40.7",
          "points": [{"point": "C40.7 body side", "volts": 12.21}],    null: floating
          "currents": [
            {
              "branch": "cavity C40.7",
              "ends": ["C40.7", "C40.7"],
              "amperes": 18.3,                                         from the first end to the second
              "drop": 0.09,                                            null: floating
              "rating": null,                                          of a fuse, A
              "open": false
            }
          ],
          "touching": {"S1": "run", "K7": "energised"}                 what has a say there, and how it stands
        }
      ],
      "ohms": [{"between": ["R3.1", "R3.2"], "ohm": 0.65}],            null: open
      "assumed": [{"what": "wire 48B", "value": "1 m", "why": "..."}]
    }

Volts, amperes and ohm are rounded to 6 figures: two machines may differ in the last bits of a sum.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from math import isinf
from typing import TYPE_CHECKING, Any, TextIO

from compiler.network.settle import Race
from loomwright.commands.output import Look

if TYPE_CHECKING:
    from rich.table import Table
    from rich.text import Text

    from compiler.model.variant import Variant
    from compiler.network.measure import FlowReading, Measured
    from compiler.network.settle import Unrest

VERSION = 1
_MOST_ASSUMED = 8


def measured_json(variant: Variant, measured: Measured) -> str:
    """Readings as JSON text with a line feed at its end."""
    settled = measured.settled
    data = {
        "version": VERSION,
        "variant": variant.id,
        "state": dict(settled.state.set),
        "faults": [str(fault) for fault in settled.faults],
        "energised": list(measured.energised),
        "flashing": [
            {"name": name, "position": position, "closed_share": share} for name, position, share in measured.flashing
        ],
        "blown": list(measured.blown),
        "unrest": [_unrest(found) for found in settled.unrest],
        "sources": [{"name": name, "amperes": _rounded(amperes)} for name, amperes in measured.sources],
        "fuses": [_flow(flow) for flow in measured.fuses],
        "readings": [
            {
                "place": reading.place,
                "points": [{"point": point.name, "volts": _rounded(point.volts)} for point in reading.points],
                "currents": [_flow(flow) for flow in reading.flows],
                "touching": dict(reading.touching),
            }
            for reading in measured.readings
        ],
        "ohms": [
            {"between": [row.a, row.b], "ohm": None if isinf(row.ohm) else _rounded(row.ohm)} for row in measured.ohms
        ],
        "assumed": [row._asdict() for row in measured.assumed],
    }
    return json.dumps(data, indent=2) + "\n"


def _flow(flow: FlowReading) -> dict[str, Any]:
    return {
        "branch": flow.name,
        "ends": list(flow.ends),
        "amperes": _rounded(flow.amperes),
        "drop": _rounded(flow.drop_v),
        "rating": _rounded(flow.rating_a),
        "open": flow.is_open,
    }


def _unrest(found: Unrest) -> dict[str, Any]:
    said: dict[str, Any] = {"kind": type(found).__name__.lower(), "relays": list(found.relays)}
    if isinstance(found, Race):
        said["ends"] = [sorted(found.first), sorted(found.second)]
    return said


def _rounded(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.6g}") + 0.0


def write_measured(measured: Measured, stream: TextIO, how: Look) -> None:
    """Readings as tables: volts at points, amperes through branches, ohms; then sources, fuses and relays, and what was
    assumed."""
    from loomwright.commands.pages import console

    printer = console(stream, how)
    for table in _tables(measured):
        printer.print(table)
    for line in _remarks(measured):
        printer.print(line)


def _tables(measured: Measured) -> Iterator[Table | Text]:
    from rich.text import Text

    for reading in measured.readings:
        if reading.points:
            yield _table(reading.place, ("point", "volts"), [(p.name, volts(p.volts)) for p in reading.points])
        if reading.flows:
            yield _flows("" if reading.points else reading.place, reading.flows)
        if reading.touching:
            stands = ", ".join(f"{name} {position}" for name, position in reading.touching)
            yield Text(f"what has a say in {reading.place}: {stands}")
    if measured.ohms:
        rows = [(f"{row.a} to {row.b}", ohm(row.ohm)) for row in measured.ohms]
        yield _table("power off", ("between", "ohm"), rows)
    elif not measured.readings:
        sources = [(name, f"{amperes:.3f}") for name, amperes in measured.sources]
        yield _table("sources", ("source", "A"), sources)
        if measured.fuses:
            yield _flows("fuses that carry current", measured.fuses)


def _remarks(measured: Measured) -> Iterator[str]:
    if measured.energised:
        yield f"in: {' '.join(measured.energised)}"
    for name, position, share in measured.flashing:
        yield f"{name} flashes, closed for {share:.0%} of the time; read while it is {position}"
    for fuse in measured.blown:
        yield f"{fuse} opens: it carried more than twice its rating"
    for found in measured.settled.unrest:
        yield unrest_words(found)
    if measured.assumed:
        count = len(measured.assumed)
        yield f"{count} {'value' if count == 1 else 'values'} assumed where the source gives none:"
        for row in measured.assumed[:_MOST_ASSUMED]:
            yield f"  {row.what}: {row.value} ({row.why})"
        if count > _MOST_ASSUMED:
            yield f"  and {count - _MOST_ASSUMED} more; --format json lists them all"


def volts(value: float | None) -> str:
    """Volts as a meter shows them."""
    return "floating" if value is None else f"{value + 0.0:.3f} V"


def ohm(value: float) -> str:
    """Ohms as a meter shows them."""
    if isinf(value):
        return "open"
    if value >= 1000:
        return f"{value / 1000:.4g} kohm"
    return f"{value:.3f} ohm" if value >= 1 else f"{value * 1000:.3g} mohm"


def unrest_words(found: Unrest) -> str:
    """What does not settle, in a sentence."""
    names = " ".join(found.relays)
    kind = type(found).__name__
    if kind == "Chatter":
        return f"{names}: chatters; each position makes the other (read at rest)"
    if kind == "Latch":
        return f"{names}: would stay in, had it been in before; read as it is from rest"
    return f"{names}: the end depends on which of them is the faster"


def _table(title: str, heads: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> Table:
    from rich.table import Table
    from rich.text import Text

    table = Table(
        title=title or None, title_justify="left", title_style="bold", box=None, pad_edge=False, padding=(0, 3, 0, 0)
    )
    for index, head in enumerate(heads):
        table.add_column(head, no_wrap=True, justify="right" if index else "left", header_style="dim")
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    return table


def _drop(value: float) -> str:
    return f"{value:.3f} V" if value >= 1 else f"{value * 1000:.1f} mV"


def _flows(title: str, flows: tuple[FlowReading, ...]) -> Table:
    rows = []
    for flow in flows:
        drop = "open" if flow.is_open else "-" if flow.drop_v is None else _drop(abs(flow.drop_v))
        rating = "" if flow.rating_a is None else f"{flow.rating_a:g} A" + (" exceeded" if flow.over else "")
        rows.append((flow.name, f"{abs(flow.amperes):.3f} A", drop, rating))
    return _table(title, ("through", "current", "drop", "rating"), rows)
