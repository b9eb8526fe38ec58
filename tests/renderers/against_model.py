"""What a pack must say by the model alone, held against what a reader finds in it: each check gives what differs, in words."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping

from compiler.model.items import Connector, Device, End, Point, Wire
from compiler.model.variant import Variant
from renderers.text import natural_key
from tests.renderers.apart import Head, Named, Taken, joined, squeezed
from tests.renderers.drawings_apart import Label

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
    """Everything that has an id stands in the index, by id and by name; a connector with its component."""
    wanted = {*variant.items, *variant.circuits, *variant.zones}
    by_id = {row[0] for first in ("Id", "Circuit") for _, head, row in rows_under(taken, first) if index_like(head)}
    by_name: set[str] = set()
    for _, _, row in rows_under(taken, "Name", "Id", "What"):
        by_name |= {row[1], *(part.removeprefix("connector") for part in row[2].split(",")[1:])}
    return [f"{name} is not in the index" for name in sorted((wanted - by_id) | (wanted - by_name))]


def index_like(head: Head) -> bool:
    return len(head) == 4 and head[1] == "Name" and head[-1].startswith("Sheets")


def complaint_faults(variant: Variant, taken: Taken) -> list[str]:
    """A complaint or trouble code that has a chart stands in the index by its name, by words of it, and a code by its id;
    each row leads to the chart."""
    rows = [row for _, _, row in rows_under(taken, "Name", "Id", "What")]
    ids = {row[0]: row[1] for _, _, row in rows_under(taken, "Id", "Name", "What")}
    charts = {row[0] for first in ("Complaint", "Trouble code") for _, _, row in rows_under(taken, first, "Causes")}
    expected = {
        (s.title, "chart", "complaint")
        for s in variant.scenarios
        if s.kind == "complaint" and squeezed(s.title) in charts
    }
    codes = [c for c in variant.trouble_codes.values() if squeezed(c.id + c.title) in charts]
    expected |= {(code.title, code.id, "troublecode") for code in codes}
    wanted = {(squeezed(title), *rest): title for title, *rest in expected}
    found = {row[:3] for row in rows if row[2] in ("complaint", "troublecode")}
    by_word = {name: (name[0].partition(":")[2], *name[1:]) for name in found if ":" in name[0]}
    faults = [f"{row[0]} is not there" for row in wanted if row not in found]
    faults += [f"{row[0]} is nobody's complaint" for row in sorted({*found} - {*by_word}) if row not in wanted]
    for name, whole in by_word.items():
        word = name[0].partition(":")[0]
        if whole not in wanted or not re.search(rf"\b{re.escape(word)}\b", wanted[whole], re.IGNORECASE):
            faults.append(f"{name[0]} leads nowhere")
    # A complaint of four words and more has one in it that it may be looked up by beside the first.
    faults += [
        f"{title} stands under no word of it"
        for row, title in wanted.items()
        if row[2] == "complaint" and len(title.split()) > 3 and row not in by_word.values()
    ]
    return faults + [f"{code.id} is not there by its id" for code in codes if ids.get(code.id) != squeezed(code.title)]


def drawing_faults(variant: Variant, taken: Taken) -> list[str]:
    """Each wire is drawn on some sheet, and wherever it is drawn its label says its size, colour and core, and stands at a
    line in its colours."""
    said: dict[str, list[Label]] = {}
    faults = []
    ids = {*variant.wire_by_id, *variant.twists, *variant.cables}
    for labels in taken.labels.values():
        for label in labels:
            wire = next((wire for wire in (label.wire, *split_id(variant, label)) if wire in ids), "")
            if not wire:
                faults.append(f"{label.says or 'nothing'} is written beside a line in {', '.join(label.colours)}")
            said.setdefault(wire, []).append(label)
    for wire in variant.wires:
        # As a label has it: without the unit of square millimetres, without what is not given.
        size = wire.size.name if wire.size and wire.size.system == "mm2" else str(wire.size or size_of(wire))
        words = squeezed(wire.id + size.replace("–", "") + colour_of(wire).replace("–", "") + wire.core)
        places = said.get(wire.id, [])
        faults += [] if places else [f"{wire.id} is on no sheet"]
        for label in places:
            if squeezed(label.says) != words:
                faults.append(f"{wire.id} is drawn as {label.says}")
            if set(label.colours[1:]) != {*inks(variant, wire), *edges(*inks(variant, wire))} - set(label.colours[:1]):
                faults.append(f"{wire.id} is drawn in {', '.join(label.colours)}")
    return faults


def split_id(variant: Variant, label: Label) -> list[str]:
    """The wire of a label whose id is broken into lines."""
    return [wire.id for wire in variant.wires if label.says.startswith(wire.id) and wire.id.startswith(label.wire)][-1:]


def inks(variant: Variant, wire: Wire) -> list[str]:
    """What a wire is drawn in on its dark outline: base and tracers as `#rrggbb`; grey where its colour is not known."""
    codes = wire.colour.split("/") if wire.colour else []
    found = [variant.colours.colours[code] for code in codes]
    stripe = [found[0].stripe] if len(found) == 1 and found[0].stripe else []
    return [rgb.lower() for rgb in (*(colour.rgb for colour in found), *stripe)] or ["#9aa0a6"]


def edges(base: str, *tracers: str) -> set[str]:
    """The edges that tracers have on a base, where the two are less than 3 to 1 apart in luminance (WCAG 2.1, 1.4.11)."""

    def level(rgb: str) -> float:
        parts = (part / 255 for part in bytes.fromhex(rgb[1:]))
        shares = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.05 + sum(weight * share for weight, share in zip((0.2126, 0.7152, 0.0722), shares, strict=True))

    def apart(one: str, other: str) -> float:
        low, high = sorted((level(one), level(other)))
        return high / low

    close = [tracer for tracer in tracers if apart(base, tracer) < 3]
    return {max(("#ffffff", "#111111"), key=lambda edge: min(apart(edge, base), apart(edge, t))) for t in close}


def sheet_faults(variant: Variant, taken: Taken) -> list[str]:
    """Every sheet that a row names shows what the row is about: an item by its id, a circuit by one of its wires."""
    faults = []
    for head, column, subject, row in sheet_rows(taken):
        name = row[head.index(subject)].lstrip("›")
        faults += [
            f"{subject} {name} is not on sheet {sheet}"
            for sheet in sheets_in(row[column], taken)
            if not shows(variant, taken.sheets.get(sheet, frozenset()), subject, name, row)
        ]
    return faults


def sheet_rows(taken: Taken) -> Iterator[tuple[Head, int, str, Head]]:
    """Rows that name sheets: the head of their chart, the column of the sheets, the one of what the row is about."""
    for (_, head), rows in joined(taken.charts).items():
        column = next((place for place, title in enumerate(head) if title.startswith("Sheets")), None)
        if column is not None and (subject := subject_of(head)):
            yield from ((head, column, subject, row) for row in rows)


def subject_of(head: Head) -> str:
    names = ("Wire", "Circuit", "Id", "Splice", "Ground", "Component", "Fuse", "Link", "Device")
    return next((title for title in head if title in names), "")


def drawn_on_faults(variant: Variant, taken: Taken) -> list[str]:
    """The list of sheets, the circuits, the index by circuit and the wire list name the same sheets for the same things:
    all those, and only those, on which a label says that a wire is drawn."""
    drawn = {
        sheet: {one for label in labels for one in (label.wire, *split_id(variant, label))} & set(variant.wire_by_id)
        for sheet, labels in taken.labels.items()
    }
    circuits = {
        sheet: ",".join(sorted({variant.wire_by_id[wire].circuit for wire in wires}, key=natural_key))
        for sheet, wires in drawn.items()
    }
    faults = [
        f"{row[0]}, list of sheets: {circuits.get(sheet)} is {row[head.index('Circuits')]}"
        for _, head, row in rows_under(taken, "Sheet", "Title")
        for sheet in sheets_in(row[0], taken)
        if row[head.index("Circuits")] != circuits.get(sheet)
    ]
    for first in ("Wire", "Circuit"):
        for _, head, row in rows_under(taken, first):
            if head[-1].startswith("Sheets") or "Sheets" in head:
                column = next(place for place, title in enumerate(head) if title.startswith("Sheets"))
                wires = {row[0]} if first == "Wire" else {w.id for w in variant.wires_of_circuit(row[0])}
                expected = {sheet for sheet, found in drawn.items() if wires & found}
                named = set(sheets_in(row[column], taken))
                faults += [f"{first} {row[0]} is on sheet {sheet} too" for sheet in sorted(expected - named)]
                faults += [f"{first} {row[0]} is not on sheet {sheet}" for sheet in sorted(named - expected)]
    return faults


ZONES = re.compile(r"[A-H]\d(?:\+[A-H]\d)*$")


def references(cell: str, taken: Taken) -> list[tuple[str, list[str]]]:
    """The sheets in a cell such as `38C4+D6,38(2)`, each with the zones of the frame."""
    found = []
    for part in filter(None, cell.split(",")):
        number = re.sub(r"(\(\d+\))", r" \1", part)
        zones = ZONES.search(number)
        if number in taken.sheets or not zones:
            found.append((number.strip(), []))
        else:
            found.append((number[: zones.start()].strip(), zones[0].split("+")))
    return found


def sheets_in(cell: str, taken: Taken) -> list[str]:
    """The numbers of the sheets in such a cell."""
    return [sheet for sheet, _ in references(cell, taken)]


def zone_faults(variant: Variant, taken: Taken) -> list[str]:
    """Wherever a row names a sheet with zones of its frame, the id of what it is about stands in each of these zones of
    that drawing, and in no other; the index gives the zone of everything that is drawn."""
    faults = []
    for head, column, subject, row in sheet_rows(taken):
        name = row[head.index(subject)].lstrip("›")
        if name not in variant.items or row[2] in NO_ITEMS:
            continue
        for sheet, zones in references(row[column], taken):
            stands = drawn_as(variant, name, taken.named.get(sheet, ()))
            faults += [f"{name} is not in {zone} of sheet {sheet}" for zone in zones if not within(stands, [zone])]
            if zones or head[column] != "Sheets":
                boxes = {one.box for one in stands if one.word == name} - {-1}
                apart = [[one for one in stands if one.box == box] for box in boxes]
                faults += [f"{name} is elsewhere on sheet {sheet}" for own in apart if not within(own, zones)]
            if stands and not zones and head[column] != "Sheets":
                faults.append(f"{name} has no zone on sheet {sheet}")
    return faults


NO_ITEMS = ("circuit", "wiringsheet", "zone", "complaint", "troublecode")


def within(stands: Iterable[Named], zones: Iterable[str]) -> bool:
    return any(zone in one.zones for one in stands for zone in zones)


def drawn_as(variant: Variant, name: str, named: Iterable[Named]) -> list[Named]:
    """Where a thing's own id stands in a drawing, or else that of the component, connector or fuses it is drawn as."""
    own = [one for one in named if one.word == name]
    item = variant.items[name]
    held = {item.device} if isinstance(item, Connector) else set()
    if isinstance(item, Device):
        held = set(item.connectors)
    if name in variant.blocks:
        held = {device.id for device in variant.devices.values() if device.block == name}
    other = [one for one in named if one.word in held]
    # On paper the id may also stand in a sentence elsewhere; which is which only the page tells.
    return own or other if all(one.box >= 0 for one in own) else [*own, *other]


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
    complaint_faults,
    drawing_faults,
    sheet_faults,
    drawn_on_faults,
    zone_faults,
)
