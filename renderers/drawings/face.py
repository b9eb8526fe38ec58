"""The face of a connector: every cavity in its place, each half seen from the mating side and from the wire side.

The declared order runs along the mating side of the first half. What mates with it is its mirror image, and so is any
half seen from its other side. `rows` in the source gives the rows, the shorter ones centred, or names of row letters
and column numbers (`A1..H8`) give rows and columns; else only the order is declared, and the drawing says that its rows
are schematic.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import islice
from typing import NamedTuple

from compiler.model.items import Connector
from renderers.document import Figure
from renderers.drawings import svg
from renderers.sheets.labels import shorten, width
from renderers.tables import Mark
from renderers.text import anchor

_ROOM = 511.0  # width of a page between its margins, points
_CELL, _HIGH, _EDGE = 13.6, 13.0, 5.0
_NARROWEST, _KEY, _GAP, _KEY_GAP, _HEAD, _SMALL = 118.0, 420.0, 10.0, 4.0, 11.0, 6.8
_ONE_ROW, _WIDEST = 5, 16
_BY_NAME = "Rows and columns as declared."
_SCHEMATIC = "Order as declared; the arrangement in rows is schematic."
_GRID = re.compile(r"([A-Za-z]+)([0-9]{1,3})")

STATES: Mapping[Mark, str] = {"": "wired", "spare": "spare", "plugged": "plugged", "open": "no wire, and not marked"}
Grid = tuple[tuple[str, ...], ...]


class Face(NamedTuple):
    """A half of a connector: what it is called, the state of each cavity (empty for a wired one), and the circuits in
    each, by which it is lit."""

    title: str
    states: Mapping[str, Mark]
    circuits: Mapping[str, tuple[str, ...]]


def rows_of(cavities: Sequence[str], rows: Sequence[int] = ()) -> tuple[Grid, str]:
    """Cavities in rows, with empty names for gaps, and words that say what of this the source declares.

    rows  cavities in each row, where the source says so: their rows may differ in length
    """
    if rows:
        left = iter(cavities)
        return tuple(tuple(islice(left, number)) for number in rows), "Rows as declared."
    named = [_GRID.fullmatch(name) for name in cavities]
    letters = dict.fromkeys(match[1] for match in named if match)
    if len(letters) > 1 and all(named):
        numbers = [int(match[2]) for match in named if match]
        first, last = min(numbers), max(numbers)
        at = {(match[1], int(match[2])): match[0] for match in named if match}
        if len(at) == len(cavities) and last - first < 2 * len(cavities):
            columns = range(first, last + 1)
            return tuple(tuple(at.get((letter, number), "") for number in columns) for letter in letters), _BY_NAME
    count = len(cavities)
    down = 1 if count <= _ONE_ROW else max(2, -(-count // _WIDEST))
    across = -(-count // down) if count else 1
    padded = [*cavities, *[""] * (down * across - count)]
    return tuple(tuple(padded[at : at + across]) for at in range(0, down * across, across)), _SCHEMATIC


def draw_faces(connector: Connector, faces: Sequence[Face], *, both_sides: Sequence[bool]) -> Figure:
    """The figure of a connector's faces; `both_sides` says for each half whether its wire side is drawn too."""
    grid, order = rows_of(connector.cavities, connector.rows)
    longest = max(map(len, grid))
    cell = min(30.0, max(_CELL, 4 + max((width(name, _SMALL, True) for name in connector.cavities), default=0.0)))
    cell = min(cell, (_ROOM - 2 * _EDGE) / longest)
    views: list[tuple[str, Face, bool]] = []
    for half, (face, both) in enumerate(zip(faces, both_sides, strict=True)):
        views.append((f"{face.title}: mating side", face, half == 1))
        if both:
            views.append((f"{face.title}: wire side", face, half == 0))
    named = max((width(title, _SMALL) + 1 for title, _, _ in views), default=0.0)
    wide = max(min(named, (_ROOM - _GAP) / 2), _NARROWEST, longest * cell + 2 * _EDGE)
    high = _HEAD + len(grid) * _HIGH + 2 * _EDGE
    across = max(1, int((_ROOM + _GAP) // (wide + _GAP)))
    across = 2 if len(views) == 4 and across == 3 else min(across, len(views))
    parts: list[str] = []
    for place, (title, face, mirrored) in enumerate(views):
        line, column = divmod(place, across)
        parts.append(
            _view(connector.id, title, face, grid, mirrored, cell, (column * (wide + _GAP), line * (high + _GAP)), wide)
        )
    down = -(-len(views) // across) * (high + _GAP) - _GAP + _KEY_GAP
    used = [state for state in STATES if any(state in face.states.values() for face in faces)]
    total = max(across * wide + (across - 1) * _GAP + 1, _KEY)
    key = _key(used, order, down)
    name, markup = f"face-{anchor('item', connector.id)}", svg.drawing(total, down + _HIGH, [*parts, key])
    return Figure(name, "", markup, total, down + _HIGH, _alt(connector, faces))


def _view(
    connector: str,
    title: str,
    face: Face,
    grid: Grid,
    mirrored: bool,
    cell: float,
    at: tuple[float, float],
    wide: float,
) -> str:
    x, y = at
    longest = max(map(len, grid))
    parts = [svg.text(x, y + 7.5, shorten(title, wide, _SMALL), _SMALL)]
    box: dict[str, str | float] = {"x": x + 0.5, "y": y + _HEAD, "rx": 3, "fill": "#fff", "stroke": "#000"}
    box |= {"width": longest * cell + 2 * _EDGE - 1, "height": len(grid) * _HIGH + 2 * _EDGE, "stroke-width": 1}
    parts.append(svg.element("rect", box))
    for down, row in enumerate(grid):
        first = (longest - len(row)) * cell / 2
        for along, cavity in enumerate(reversed(row) if mirrored else row):
            if cavity:
                left, top = x + _EDGE + first + along * cell, y + _HEAD + _EDGE + down * _HIGH
                about: dict[str, str | float] = {"data-terminal": f"{connector}.{cavity}"}
                if circuits := face.circuits.get(cavity):
                    about["data-circuit"] = " ".join(circuits)
                parts.append(svg.element("g", about, _cavity(cavity, face.states.get(cavity, "open"), left, top, cell)))
    return svg.element("g", {}, "".join(parts))


def _cavity(name: str, state: Mark, x: float, y: float, cell: float) -> str:
    """One cavity. The states differ in outline and filling, not in colour: wired shaded, spare dashed, plugged
    crossed out, without a wire heavily dotted."""
    left, top, wide, high = x + 1, y + 1, cell - 2, _HIGH - 2
    look: dict[str, str | float] = {"x": left, "y": top, "width": wide, "height": high, "rx": 1, "stroke": "#000"}
    look |= {"fill": "#dfe3e8" if not state else "#fff", "stroke-width": 1.1 if state == "open" else 0.6}
    if state in ("spare", "open"):
        look["stroke-dasharray"] = "2 1.4" if state == "spare" else "1.1 1.1"
    parts = [svg.element("rect", look)]
    words = shorten(name, cell - 2, _SMALL, not state)
    if state == "plugged":
        n = svg.number
        cross = (
            f"M{n(left)} {n(top)}L{n(left + wide)} {n(top + high)}M{n(left)} {n(top + high)}L{n(left + wide)} {n(top)}"
        )
        half = width(words, _SMALL) / 2 + 0.8
        back: dict[str, str | float] = {
            "x": x + cell / 2 - half,
            "y": top + 2.4,
            "width": 2 * half,
            "height": high - 4.8,
        }
        parts.append(svg.element("path", {"d": cross, "stroke": "#000", "stroke-width": 0.6, "fill": "none"}))
        parts.append(svg.element("rect", {**back, "fill": "#fff"}))
    weight = "normal" if state else "bold"
    parts.append(svg.text(x + cell / 2, y + _HIGH / 2 + 2.4, words, _SMALL, text_anchor="middle", font_weight=weight))
    return "".join(parts)


def _key(used: Sequence[Mark], order: str, y: float) -> str:
    """What the outlines mean and how the cavities are arranged, as one line; wired cavities alone need no key."""
    x, parts = 0.0, []
    for state in used if any(used) else ():
        parts.append(_cavity("n", state, x, y, _CELL))
        parts.append(svg.text(x + _CELL + 3, y + _HIGH / 2 + 2.4, STATES[state], _SMALL))
        x += _CELL + 3 + width(STATES[state], _SMALL) + 12
    parts.append(svg.text(x, y + _HIGH / 2 + 2.4, order, _SMALL, fill="#444"))
    return svg.element("g", {}, "".join(parts))


def _alt(connector: Connector, faces: Sequence[Face]) -> str:
    words = []
    for face in faces:
        groups = ((STATES[s], [c for c in connector.cavities if face.states.get(c, "open") == s]) for s in STATES)
        told = "; ".join(f"{name}: {', '.join(cavities)}" for name, cavities in groups if cavities)
        words.append(f"{face.title}: {told}")
    return f"Face of connector {connector.id}. " + ". ".join(words)
