"""What a pack must say by the model alone, held against what a reader finds in it: each check gives what differs, in words."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping

from compiler.model.items import Connector, Device, End, Point, Wire
from compiler.model.variant import Variant
from tests.renderers.apart import Head, Taken, joined, squeezed

# -- what the model says -----------------------------------------------------------------------------------------------


def size_of(wire: Wire) -> str:
    if wire.size is None:
        return "?" if "size" in wire.unknown else "–"
    return squeezed(f"{wire.size.name} mm²" if wire.size.system == "mm2" else str(wire.size))


def colour_of(wire: Wire) -> str:
    return wire.colour or ("?" if "colour" in wire.unknown else "–")


def end_of(variant: Variant, end: End) -> str:
    """A wire end: the point, then the name of the component or connector there."""
    if end.point is None:
        return "?"
    item = variant.items[end.point.item]
    if isinstance(item, Connector) and item.device:
        item = variant.devices[item.device]
    return squeezed(f"{end.point} {item.title}")


def far(wire: Wire, point: Point) -> End:
    return wire.b if wire.a.point == point else wire.a


def is_fuse(device: Device) -> bool:
    return device.kind in ("fuse", "breaker")


# -- what is at fault, in words ------------------------------------------------------------------------------------------


def rows_under(taken: Taken, *head: str) -> Iterator[tuple[str, Head, Head]]:
    """Owner, titles and cells of every row of the charts whose titles begin so."""
    for (owner, titles), rows in joined(taken.charts).items():
        if titles[: len(head)] == head:
            for row in rows:
                yield owner, titles, row


def differing(expected: Mapping[object, object], found: Mapping[object, object]) -> list[str]:
    keys = sorted({*expected, *found}, key=str)
    return [f"{key}: {expected.get(key)} is {found.get(key)}" for key in keys if expected.get(key) != found.get(key)]


def wire_list_faults(variant: Variant, taken: Taken) -> list[str]:
    expected = {
        wire.id: (
            wire.circuit,
            wire.segment,
            end_of(variant, wire.a),
            end_of(variant, wire.b),
            size_of(wire),
            colour_of(wire),
        )
        for wire in variant.wires
    }
    found = {
        row[0]: row[1:7] for _, _, row in rows_under(taken, "Wire", "Circuit", "Seg.", "From", "To", "Size", "Colour")
    }
    return differing(expected, found)


def cavity_faults(variant: Variant, taken: Taken) -> list[str]:
    """Each half of each cavity: its wires with colour, size and far end, or why it has none."""
    expected: dict[object, list[object]] = {}
    for connector in variant.connectors.values():
        for cavity in connector.cavities:
            for half in (0,) if connector.device else (0, 1):
                point = Point(connector.id, cavity, half)
                key = (connector.id, cavity, half)
                expected[key] = sorted(
                    (w.id, colour_of(w), size_of(w), end_of(variant, far(w, point))) for w in variant.wires_at(point)
                ) or [reason(connector, cavity, half)]
    found: dict[object, list[object]] = {}
    for owner, head, row in rows_under(taken, "Cavity", "Wire", "Colour", "Size", "Goes to"):
        for half, at in enumerate(place for place, title in enumerate(head) if title == "Wire"):
            cells = row[at : at + 4]
            known = found.setdefault((owner, row[0], half), [])
            if cells[1]:
                known.append(cells)
            elif cells[0]:
                known.append(REASONS[cells[0]])
    return differing(expected, {key: sorted(cells, key=str) for key, cells in found.items()})


REASONS = {"plugged": "plugged", "spare": "empty", "nowire": "empty"}


def reason(connector: Connector, cavity: str, half: int) -> str:
    return "plugged" if half in connector.plugged.get(cavity, ()) else "empty"


def fed_from(variant: Variant, device: Device) -> str:
    """The bus of a fuse, or the circuit that is wired to its first terminal."""
    return device.bus or variant.wires_at(Point(device.id, "1", 0))[0].circuit


def fuse_faults(variant: Variant, taken: Taken) -> list[str]:
    expected = {
        device.id: (device.block, device.word("slot"), f"{device.ratings['current']:g}A", fed_from(variant, device))
        for device in variant.devices.values()
        if is_fuse(device) and device.block
    }
    found = {}
    for owner, head, row in rows_under(taken, "Slot", "Fuse", "Name", "Rating"):
        cell = dict(zip(head, row, strict=True))
        found[cell["Fuse"]] = (owner, cell["Slot"], cell["Rating"], cell["Fed from"])
    return differing(expected, found)


def joint_faults(variant: Variant, taken: Taken) -> list[str]:
    """Splices and grounds: the wires at each, with colour and size."""
    expected: dict[object, object] = {}
    for item in (*variant.splices, *variant.grounds):
        expected[item] = sorted(f"{w.id}{colour_of(w)}{size_of(w)}" for w in variant.wires_of_item(item))
    found: dict[object, object] = {}
    for first in ("Splice", "Ground"):
        for _, head, row in rows_under(taken, first, "Name"):
            found[row[0]] = sorted(row[head.index("Wires")].split(";"))
    return differing(expected, found)


def component_faults(variant: Variant, taken: Taken) -> list[str]:
    expected = {d.id: (squeezed(d.title), ",".join(d.connectors)) for d in variant.devices.values()}
    found = {
        row[0]: (row[1], row[head.index("Connectors")])
        for _, head, row in rows_under(taken, "Component", "Name", "Kind")
    }
    return differing(expected, found)


def index_faults(variant: Variant, taken: Taken) -> list[str]:
    """Everything that has an id stands in the index, by id and by name."""
    wanted = {*variant.items, *variant.circuits, *variant.zones}
    by_id = {row[0] for first in ("Id", "Circuit") for _, head, row in rows_under(taken, first) if index_like(head)}
    by_name = {row[1] for _, _, row in rows_under(taken, "Name", "Id", "What")}
    return [f"{name} is not in the index" for name in sorted((wanted - by_id) | (wanted - by_name))]


def index_like(head: Head) -> bool:
    return len(head) == 4 and head[1] == "Name" and head[-1].startswith("Sheets")


def drawing_faults(variant: Variant, taken: Taken) -> list[str]:
    """Each wire is drawn on some sheet, with its size and colour at every place where it is drawn."""
    said: dict[str, list[str]] = {}
    for labels in taken.labels.values():
        for wire, words in labels:
            said.setdefault(wire, []).append(words)
    faults = []
    for wire in variant.wires:
        size = wire.size.name if wire.size and wire.size.system == "mm2" else str(wire.size or size_of(wire))
        parts = {*size.split(), colour_of(wire)} - {"–"}
        places = said.get(wire.id, [])
        if not places:
            faults.append(f"{wire.id} is on no sheet")
        faults += [f"{wire.id} is drawn as {words}" for words in places if not parts <= set(words.split())]
    return faults


def sheet_faults(variant: Variant, taken: Taken) -> list[str]:
    """Every sheet that a row names shows what the row is about: an item by its id, a circuit by one of its wires."""
    faults = []
    for (_, head), rows in joined(taken.charts).items():
        column = next((place for place, title in enumerate(head) if title.startswith("Sheets")), None)
        if column is None or not (subject := subject_of(head)):
            continue
        for row in rows:
            name = row[head.index(subject)].lstrip("›")
            faults += [
                f"{subject} {name} is not on sheet {sheet}"
                for sheet in sheets_in(row[column], taken)
                if not shows(variant, taken.sheets.get(sheet, frozenset()), subject, name, row)
            ]
    return faults


def subject_of(head: Head) -> str:
    names = ("Wire", "Circuit", "Id", "Splice", "Ground", "Component", "Fuse", "Link", "Device")
    return next((title for title in head if title in names), "")


def sheets_in(cell: str, taken: Taken) -> list[str]:
    """The numbers of sheets in a cell such as `38C4,38(2)`; the zone of the frame is left out."""
    found = []
    for part in filter(None, cell.split(",")):
        number = re.sub(r"(\(\d+\))", r" \1", part)
        zoned = re.sub(r"[A-H]\d$", "", number).strip()
        found.append(number if number in taken.sheets else zoned)
    return found


def shows(variant: Variant, words: frozenset[str], what: str, name: str, row: Head) -> bool:
    if what == "Wire" or (
        what in ("Circuit", "Id") and name in variant.circuits and "circuit" in (what.lower(), row[2])
    ):
        circuit = variant.wire_by_id[name].circuit if what == "Wire" else name
        return any(wire.id in words for wire in variant.wires_of_circuit(circuit))
    item = variant.items.get(name)
    held = item.device if isinstance(item, Connector) else ""
    return name in words or held in words


CHECKS: tuple[Callable[[Variant, Taken], list[str]], ...] = (
    wire_list_faults,
    cavity_faults,
    fuse_faults,
    joint_faults,
    component_faults,
    index_faults,
    drawing_faults,
    sheet_faults,
)
