"""Connector cavity charts: both halves side by side, so that a wire is followed through."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from compiler.circuit.graph import device_terminal
from compiler.model.items import Connector, Device, Point, Wire
from renderers.cautions import RESTRAINT
from renderers.cells import (
    access_cell,
    basis_runs,
    circuit_runs,
    colour_cell,
    end_cell,
    item_runs,
    load_cell,
    other_end,
    place_cell,
    sheets_cell,
    size_cell,
    wire_cell,
)
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.describe import terminal_text
from renderers.document import Group, Leaf, Paragraph
from renderers.drawings.face import Face, draw_faces
from renderers.tables import About, Cell, Column, Mark, Row, Run, Table, cell, listed, runs_cell
from renderers.text import anchor

_STATES: dict[Mark, str] = {"spare": "spare", "plugged": "plugged", "open": "no wire"}
_EMPTY = cell("")
_LOAD = Column("load", "Most, A", "number", 14)


def _half(key: str, group: str, to: float) -> tuple[Column, ...]:
    return (
        Column(f"{key}wire", "Wire", "ref", 12, group),
        Column(f"{key}colour", "Colour", "colour", 21, group),
        Column(f"{key}size", "Size", "size", 15, group),
        Column(f"{key}to", "Goes to", "ref", to, group),
    )


def _build(context: PackContext) -> Blocks:
    inline: list[Group] = []
    component: list[Group] = []
    for found in context.by_id(context.variant.connectors):
        if isinstance(found, Connector):
            (component if found.device else inline).append(_group(context, found))
    if not inline and not component:
        return ()
    lead = (
        "Every cavity of every connector. For a connector between two harnesses, left and right are its two halves; a"
        " wire that arrives on one half goes on from the other. For a connector of a component, the last columns say"
        " what the cavity does and what stands behind it. A cavity without a wire says why: spare, plugged, or no wire."
    )
    faces = (
        "The face is drawn as seen from the mating side, where the two halves meet, and from the wire side, where a"
        " test lead goes in: the one is the mirror image of the other. The declared order of cavities runs from left to"
        " right on the mating side of the half named first. Where it is declared which half has pins and which has"
        " sockets, the headings say so: use a test lead that suits, and never force a probe into a socket. “Most, A” is"
        " the highest current that a cavity carries."
    )
    leads = (Paragraph((Run(lead),)), Paragraph((Run(faces), *basis_runs())))
    if not inline or not component:
        return (*leads, *inline, *component)
    return (
        *leads,
        _over("inline", "In-line connectors", "between two harnesses", inline),
        *inline,
        _over("component", "Connectors at components", "of a component", component),
        *component,
    )


def _over(name: str, title: str, what: str, groups: Sequence[Group]) -> Group:
    """A head over connectors of one sort, with the first and the last of them."""
    first, last = groups[0].item, groups[-1].item
    count = f"{len(groups)} {'connector' if len(groups) == 1 else 'connectors'} {what}: "
    words = Run(f"{count}{first}." if first == last else f"{count}{first} to {last}, in order of number.")
    return Group(anchor("connectors", name), title, (Paragraph((words,)),), over=True)


def _group(context: PackContext, connector: Connector) -> Group:
    device = context.variant.devices.get(connector.device)
    table = _component_table(context, connector, device) if device else _inline_table(context, connector)
    leaves: list[Leaf] = [Paragraph(_where(context, connector, device)), _faces(context, connector, device), table]
    leaves += [Paragraph((Run(note),)) for note in connector.notes]
    # A component's connector seldom has a name of its own that says enough.
    names = (device.title or device.id, connector.title) if device else (connector.title,)
    title = f"{connector.id}  {', '.join(filter(None, names))}".rstrip()
    return Group(context.home(connector.id), title, tuple(leaves), connector.id)


def _faces(context: PackContext, connector: Connector, device: Device | None) -> Leaf:
    """The drawn face: both halves of an in-line connector, or a component's plug and what it mates with."""
    wires = {cavity: _wires(context, connector, cavity) for cavity in connector.cavities}
    circuits = [
        {c: tuple(dict.fromkeys(w.circuit for w in ends[half])) for c, ends in wires.items()} for half in (0, 1)
    ]
    if device is None:
        titles = _with_contacts(connector, _half_titles(context, connector))
        states = [{c: _state(connector, c, half, ends) for c, ends in wires.items()} for half in (0, 1)]
        faces = [Face(titles[half], states[half], circuits[half]) for half in (0, 1)]
        return draw_faces(connector, faces, both_sides=(True, True))
    plug = {cavity: _plug_state(context, connector, device, cavity) for cavity in connector.cavities}
    inside: dict[str, Mark] = {}
    for cavity in connector.cavities:
        terminal = device_terminal(device, connector.id, cavity)
        inside[cavity] = "" if terminal and terminal not in device.spare else "spare"
    names = _with_contacts(connector, ("Harness plug", f"Component {device.id}"))
    faces = [Face(names[0], plug, circuits[0]), Face(names[1], inside, circuits[0])]
    return draw_faces(connector, faces, both_sides=(True, False))


def _with_contacts(connector: Connector, titles: Sequence[str]) -> list[str]:
    """What the two halves are called, each with `pins` or `sockets` where the source says which has them."""
    return [", ".join(filter(None, (title, connector.contacts(half)))) for half, title in enumerate(titles)]


def _wires(context: PackContext, connector: Connector, cavity: str) -> tuple[tuple[Wire, ...], ...]:
    """The wires at each half of a cavity."""
    return tuple(context.variant.wires_at(Point(connector.id, cavity, half)) for half in (0, 1))


def _half_titles(context: PackContext, connector: Connector) -> list[str]:
    """What the two halves of an in-line connector are called; and the name that sheets and tests give them, by the id
    of the harness, where the harness' own name does not have it."""
    sides = []
    for half in (0, 1):
        harness = context.variant.harnesses.get(connector.halves[half])
        if harness is None:
            sides.append(connector.half_name(half))
            continue
        side = f"{harness.title or harness.id} side"
        sides.append(side if harness.id.casefold() in side.casefold() else f"{side} ({harness.id})")
    if sides[0] == sides[1]:
        sides = [f"{side} ({name})" for side, name in zip(sides, ("first half", "second half"), strict=True)]
    return sides


def _where(context: PackContext, connector: Connector, device: Device | None) -> tuple[Run, ...]:
    count = len(connector.cavities)
    runs: list[Run] = [Run(f"{count} {'cavity' if count == 1 else 'cavities'}. ")]
    if device:
        runs += [Run("Plug of component "), *item_runs(context, device.id), Run(". ")]
    runs += [Run("Location: "), *place_cell(context, connector).runs]
    access = access_cell(context, connector)
    runs.append(Run("." if access.mark == "absent" else f". Access: {access.text} min."))
    sheets = sheets_cell(context.sheets_of_item(connector.id))
    if sheets.runs:
        runs += [Run(" Sheets: "), *sheets.runs, Run(".")]
    return tuple(runs)


def _inline_table(context: PackContext, connector: Connector) -> Table:
    sides = _with_contacts(connector, _half_titles(context, connector))
    columns = (
        Column("cavity", "Cavity", "id", 12),
        *_half("a-", sides[0], 25),
        *_half("b-", sides[1], 25),
        Column("function", "Circuit, function", "text", 24),
        _LOAD,
    )
    rows: list[Row] = []
    for cavity in connector.cavities:
        points = (Point(connector.id, cavity, 0), Point(connector.id, cavity, 1))
        wires = _wires(context, connector, cavity)
        states = tuple(_state(connector, cavity, half, wires) for half in (0, 1))
        for place, pair in enumerate(zip_longest(*wires) if any(wires) else [(None, None)]):
            cells = [cell(cavity)]
            for half in (0, 1):
                state: Mark = states[half] if place == 0 else ""
                cells += _wire_cells(context, pair[half], points[half], state)
            function, about = _function(context, pair)
            marks = tuple(sorted(set(states))) if not any(pair) else ()
            name = anchor("cavity", f"{connector.id}.{cavity}") if place == 0 else ""
            rows.append(Row((*cells, function, _load(context, connector, cavity, place)), name, marks, about))
    return Table(
        f"connector-{anchor('item', connector.id)}",
        "",
        columns,
        tuple(rows),
        (),
        "connectors",
        connector.id,
        "Connector",
    )


def _component_table(context: PackContext, connector: Connector, device: Device) -> Table:
    harness, component = _with_contacts(connector, ("Harness side", f"Component {device.id}"))
    columns = (
        Column("cavity", "Cavity", "id", 12),
        *_half("", harness, 35),
        Column("function", "Circuit, function", "text", 30),
        _LOAD,
        Column("terminal", "Terminal", "id", 15, component),
        Column("inside", "Inside", "text", 38, component),
    )
    rows: list[Row] = []
    for cavity in connector.cavities:
        point = Point(connector.id, cavity, 0)
        wires = context.variant.wires_at(point)
        terminal = device_terminal(device, connector.id, cavity)
        state = _plug_state(context, connector, device, cavity)
        for place, wire in enumerate(wires or (None,)):
            function, about = _function(context, (wire,))
            cells = (
                cell(cavity),
                *_wire_cells(context, wire, point, state),
                function,
                _load(context, connector, cavity, place),
                cell(terminal),
                cell(terminal_text(context.variant, device, terminal) if terminal else ""),
            )
            name = anchor("cavity", f"{connector.id}.{cavity}") if place == 0 else ""
            rows.append(Row(cells, name, () if wire else (state,), about._replace(item=device.id)))
    return Table(
        f"connector-{anchor('item', connector.id)}",
        "",
        columns,
        tuple(rows),
        (),
        "component-connectors",
        connector.id,
        "Connector",
    )


def _state(connector: Connector, cavity: str, half: int, wires: tuple[tuple[Wire, ...], ...]) -> Mark:
    """Why a half of a cavity has no wire; empty when it has one."""
    if wires[half]:
        return ""
    if half in connector.plugged.get(cavity, ()):
        return "plugged"
    # `spare rest` speaks of cavities that no wire reaches on either half.
    if half in connector.spare.get(cavity, ()) or (connector.spare_rest and not any(wires)):
        return "spare"
    return "open"


def _plug_state(context: PackContext, connector: Connector, device: Device, cavity: str) -> Mark:
    """The state of a cavity of a component's plug: without a terminal behind it a cavity is spare of itself."""
    terminal = device_terminal(device, connector.id, cavity)
    state = _state(connector, cavity, 0, (context.variant.wires_at(Point(connector.id, cavity, 0)), ()))
    return "spare" if state == "open" and (terminal in device.spare or not terminal) else state


def _load(context: PackContext, connector: Connector, cavity: str, place: int) -> Cell:
    """The most that passes a cavity, in the first of its rows."""
    load = context.loads.cavities.get((connector.id, cavity))
    return load_cell(load) if load and place == 0 else _EMPTY


def _wire_cells(context: PackContext, wire: Wire | None, point: Point, state: Mark) -> tuple[Cell, ...]:
    if wire is None:
        return (cell(_STATES.get(state, ""), mark=state), _EMPTY, _EMPTY, _EMPTY)
    return (wire_cell(wire), colour_cell(context, wire), size_cell(wire), end_cell(context, other_end(wire, point)))


def _function(context: PackContext, wires: tuple[Wire | None, ...]) -> tuple[Cell, About]:
    circuits = tuple(dict.fromkeys(wire.circuit for wire in wires if wire))
    return runs_cell(listed((circuit_runs(context, name, named=True) for name in circuits), " / ")), About(circuits)


CHART = Chart(80, "connectors", "Connector charts", _build, RESTRAINT)
