"""Single edits of a variant's source, each with the statements that must come of it and no others.

An edit is made by the places that the model knows. Statements are written as (what, ids, old, new).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from compiler.model.items import Located, Named, Point, Wire
from compiler.model.variant import Variant
from grammar.source import Span
from tests.seeded.edits import Planted, end_at, end_span, file_end, plain_wires, word_span

Said = tuple[str, tuple[str, ...], str, str]
Edit = tuple[Planted, list[Said]]
Editor = Callable[[Variant], Iterator[Edit]]
EDITORS: dict[str, Editor] = {}


def editor(function: Editor) -> Editor:
    EDITORS[function.__name__] = function
    return function


def inside(span: Span, pattern: str) -> Span | None:
    """The first match of a pattern in a statement, as a place."""
    match = re.compile(pattern).search(span.source.text, span.start, span.end)
    return Span(span.source, match.start(), match.end()) if match else None


def mentions(variant: Variant, name: str) -> int:
    """How often a word stands in the sources."""
    return sum(len(re.findall(rf"(?<![\w.-]){re.escape(name)}(?![\w-])", source.text)) for source in variant.sources)


def joined(variant: Variant, wires: list[Wire], ids: str, *, came: bool) -> list[Said]:
    """What splices, grounds and buses say of wires that came or went."""
    said = []
    for wire in wires:
        for end in wire.ends:
            if end.point and not end.point.terminal:
                sort = next(
                    name
                    for name, group in (
                        ("splice", variant.splices),
                        ("ground", variant.grounds),
                        ("bus", variant.buses),
                    )
                    if end.point.item in group
                )
                said.append((f"{sort}-wires", (end.point.item,), "" if came else ids, ids if came else ""))
    return said


@editor
def circuit_recoloured(variant: Variant) -> Iterator[Edit]:
    for circuit in variant.circuits.values():
        wires = variant.wires_of_circuit(circuit.id)
        if circuit.colour_written is None or any(w.own_colour or w.core for w in wires) or not circuit.colour:
            continue
        if wires and wires[0].colour == circuit.colour != "PK/SR" and circuit.colour_written.text == circuit.colour:
            span = word_span(circuit.at.source, circuit.colour_written)
            ids = tuple(wire.id for wire in wires)
            yield Planted().replace(span, "PK/WH"), [("wire-colour", ids, circuit.colour, "PK/WH")]


@editor
def wire_resized(variant: Variant) -> Iterator[Edit]:
    for wire in plain_wires(variant):
        span = inside(wire.span, r"(?<= )[\d.]+ mm2")
        if span and wire.size and span.text == str(wire.size):
            yield Planted().replace(span, "16 mm2"), [("wire-size", (wire.id,), span.text, "16 mm2")]


@editor
def wire_lengthened(variant: Variant) -> Iterator[Edit]:
    for wire in plain_wires(variant):
        span = inside(wire.span, r"(?<= )[\d.]+ m(?![\w])")
        if span and wire.length_m:
            old = f"{wire.length_m:.10g} m"
            yield Planted().replace(span, "97.5 m"), [("wire-length", (wire.id,), old, "97.5 m")]


@editor
def cavity_moved(variant: Variant) -> Iterator[Edit]:
    for connector in variant.connectors.values():
        free = [
            cavity
            for cavity in connector.cavities
            if cavity not in connector.plugged
            and not any(variant.wires_at(Point(connector.id, cavity, half)) for half in (0, 1))
        ]
        if not (connector.is_inline and connector.spare_rest and free):
            continue
        for cavity in connector.cavities:
            points = [Point(connector.id, cavity, half) for half in (0, 1)]
            wires = [wire for point in points for wire in variant.wires_at(point)]
            if len(wires) != 2 or mentions(variant, f"{connector.id}.{cavity}") != 2:
                continue
            planted = Planted()
            for wire, point in zip(wires, points, strict=True):
                planted.replace(end_span(wire, end_at(wire, point)), f"{connector.id}.{free[0]}")
            ids = tuple(sorted(wire.id for wire in wires))
            yield planted, [("wire-cavity", ids, f"{connector.id}.{cavity}", f"{connector.id}.{free[0]}")]


@editor
def wire_rerouted_to_another_ground(variant: Variant) -> Iterator[Edit]:
    grounds = list(variant.grounds)
    for wire in plain_wires(variant):
        point = wire.b.point
        if point and point.item in variant.grounds and wire.a.point and wire.a.point.item not in variant.grounds:
            other = grounds[grounds.index(point.item) - 1]
            yield (
                Planted().replace(end_span(wire, wire.b), other),
                [
                    ("wire-end", (wire.id,), point.item, other),
                    ("ground-wires", (other,), "", wire.id),
                    ("ground-wires", (point.item,), wire.id, ""),
                ],
            )


@editor
def wire_removed(variant: Variant) -> Iterator[Edit]:
    twisted = {word.text for twist in variant.twists.values() for word in twist.wires}
    for wire in plain_wires(variant):
        inline = any(end.point and variant.connectors.get(end.point.item) for end in wire.ends)
        if len(variant.wires_of_circuit(wire.circuit)) > 1 and wire.id not in twisted and not inline:
            from compiler.changes.inventory import inventory_of
            from compiler.changes.printed import wire_text

            text = wire_text(inventory_of(variant).things["wire"][wire.id])
            said = [("wire-removed", (wire.id,), text, ""), *joined(variant, [wire], wire.id, came=False)]
            yield Planted().replace(wire.span, ""), said


@editor
def wire_renumbered(variant: Variant) -> Iterator[Edit]:
    for wire in plain_wires(variant):
        span = inside(wire.span, r"\w+")
        if span and span.text == wire.segment and wire.segment.isupper() and mentions(variant, wire.id) == 0:
            new = f"{wire.circuit}Z"
            yield Planted().replace(span, "Z"), [("wire-renamed", (new,), wire.id, new)]


@editor
def circuit_renumbered(variant: Variant) -> Iterator[Edit]:
    for circuit in variant.circuits.values():
        wires = variant.wires_of_circuit(circuit.id)
        if not wires or any(
            wire.span.source is not circuit.span.source or not circuit.span.start < wire.span.start < circuit.span.end
            for wire in wires
        ):
            continue
        if any(code.subject == circuit.id for code in variant.trouble_codes.values()) or any(
            mentions(variant, wire.id) for wire in wires
        ):
            continue
        planted = Planted().replace(circuit.at, "9901")
        for sheet in variant.sheets.values():
            for word, span in sheet.circuits:
                if word.text == circuit.id:
                    planted.replace(span, "9901")
        yield planted, [("circuit-renamed", ("9901",), circuit.id, "9901")]


@editor
def circuit_split(variant: Variant) -> Iterator[Edit]:
    for circuit in variant.circuits.values():
        wires = variant.wires_of_circuit(circuit.id)
        last = wires[-1] if wires else None
        if last is None or len(wires) < 3 or mentions(variant, last.id) or "{" in last.span.text or last.core:
            continue
        if not circuit.span.start < last.span.start < circuit.span.end or last.span.source is not circuit.span.source:
            continue
        if not (circuit.size and circuit.colour and circuit.harness) or any("?" in w.span.text for w in wires):
            continue
        if circuit.class_:
            continue
        line = re.sub(r"^\w+", "A", last.span.text)
        head = f"circuit 9902 {circuit.size} {circuit.colour} in {circuit.harness}"
        new = f"\n{head} {{\n  {line}\n}}\n"
        planted = Planted().replace(last.span, "").insert(file_end(circuit.at.source), new)
        said = [("circuit-split", ("9902",), last.id, "9902-A" if "-" in last.id else "9902A")]
        for name, ids, _, _ in joined(variant, [last], last.id, came=True):
            assert name
            assert ids
        yield planted, said


def _point(item: Located) -> Span | None:
    return inside(item.span, r"\([\d., ]+\)") if item.place and item.place.point else None


def _moved(variant: Variant, items: list[Located], what: str) -> Iterator[Edit]:
    for item in items:
        span = _point(item)
        if span and item.place and span.text == f"({item.place.point[0]:g}, {item.place.point[1]:g})":  # type: ignore[index]
            old, new = (f"{item.place.zone} {point}" for point in (span.text, "(3, 4)"))
            yield Planted().replace(span, "(3, 4)"), [(what, (item.id,), old, new)]


@editor
def component_moved(variant: Variant) -> Iterator[Edit]:
    plain = [d for d in variant.devices.values() if not d.is_protective]
    yield from _moved(variant, list(plain), "component-place")


@editor
def ground_moved(variant: Variant) -> Iterator[Edit]:
    yield from _moved(variant, list(variant.grounds.values()), "ground-place")


@editor
def fuse_block_moved(variant: Variant) -> Iterator[Edit]:
    yield from _moved(variant, list(variant.blocks.values()), "fuse-block-place")


@editor
def component_retitled(variant: Variant) -> Iterator[Edit]:
    for device in variant.devices.values():
        span = inside(device.span, r'"[^"]*"')
        if span and device.title == span.text[1:-1] and not device.is_protective:
            yield Planted().replace(span, '"Thing"'), [("component-title", (device.id,), span.text, '"Thing"')]


@editor
def fuse_rerated(variant: Variant) -> Iterator[Edit]:
    for device in variant.devices.values():
        span = inside(device.span, r"(?<= )[\d.]+ A(?= )")
        if device.kind == "fuse" and span:
            yield Planted().replace(span, "35 A"), [("fuse-rating", (device.id,), span.text, "35 A")]


@editor
def fuse_in_another_slot(variant: Variant) -> Iterator[Edit]:
    for device in variant.devices.values():
        span = inside(device.span, r"(?<=slot )\w+")
        if device.kind == "fuse" and span:
            yield Planted().replace(span, "99"), [("fuse-slot", (device.id,), span.text, "99")]


@editor
def kind_changed(variant: Variant) -> Iterator[Edit]:
    for device in variant.devices.values():
        if device.kind == "solenoid" and device.span.text.startswith("solenoid") and list(device.ratings) == ["power"]:
            power = f"{device.ratings['power']:g} W"
            span = device.span._replace(end=device.span.start + len("solenoid"))
            said = ("component-kind", (device.id,), f"solenoid, {power}", f"heater, {power}")
            yield Planted().replace(span, "heater"), [said]


@editor
def splice_renamed(variant: Variant) -> Iterator[Edit]:
    for splice in variant.splices.values():
        wires = variant.wires_at(Point(splice.id, ""))
        if not wires or mentions(variant, splice.id) != 1 + len(wires):
            continue
        planted = Planted().replace(splice.at, "SP9903")
        for wire in wires:
            planted.replace(end_span(wire, end_at(wire, Point(splice.id, ""))), "SP9903")
        yield planted, [("splice-renamed", ("SP9903",), splice.id, "SP9903")]


@editor
def splice_added(variant: Variant) -> Iterator[Edit]:
    for splice in variant.splices.values():
        new = f'\nsplice SP9904 "New" in {splice.harness} at cab (1, 1)\n'
        said = f"in {splice.harness}, at cab (1, 1)"
        yield Planted().insert(file_end(splice.at.source), new), [("splice-added", ("SP9904",), "", said)]


@editor
def cavity_plugged(variant: Variant) -> Iterator[Edit]:
    for connector in variant.connectors.values():
        if not (connector.is_inline and connector.spare_rest):
            continue
        for cavity in connector.cavities:
            wired = any(variant.wires_at(Point(connector.id, cavity, half)) for half in (0, 1))
            if not wired and cavity not in connector.plugged:
                new = f"\nextend connector {connector.id} {{ plugged {cavity} }}\n"
                yield (
                    Planted().insert(file_end(variant.header.at.source), new),
                    [("connector-cavity", (connector.id,), "spare", "plugged")],
                )


@editor
def sheet_retitled(variant: Variant) -> Iterator[Edit]:
    yield from _retitled(list(variant.sheets.values()), "sheet-title")


@editor
def zone_retitled(variant: Variant) -> Iterator[Edit]:
    yield from _retitled(list(variant.zones.values()), "zone-title")


def _retitled(items: list[Named], what: str) -> Iterator[Edit]:
    for item in items:
        span = inside(item.span, r'"[^"]*"')
        if span and span.text[1:-1] == item.title:
            yield Planted().replace(span, '"Otherwise"'), [(what, (item.id,), span.text, '"Otherwise"')]


@editor
def sheet_renumbered(variant: Variant) -> Iterator[Edit]:
    for sheet in variant.sheets.values():
        planted = Planted().replace(sheet.at, "9905")
        for other in variant.sheets.values():
            for word, span in other.see:
                if word.text == sheet.id:
                    planted.replace(span, "9905")
        yield planted, [("sheet-renamed", ("9905",), sheet.id, "9905")]


@editor
def circuit_off_a_sheet(variant: Variant) -> Iterator[Edit]:
    for sheet in variant.sheets.values():
        if len(sheet.circuits) > 2:
            word, span = sheet.circuits[-1]
            yield Planted().replace(span, ""), [("sheet-circuits", (sheet.id,), word.text, "")]


@editor
def another_outcome_expected(variant: Variant) -> Iterator[Edit]:
    for scenario in variant.scenarios:
        last = scenario.seen[-1]
        if scenario.kind == "expect" and last.words[:1] == ("below",):
            old, new = (f"{last.subject} below {value}" for value in (last.words[1], "7.77 A"))
            span = inside(last.at, r"[\d.]+ \w+$")
            if span:
                said = [("expect-seen", (scenario.id,), old, new)]
                yield Planted().replace(span, "7.77 A"), said


@editor
def complaint_retitled(variant: Variant) -> Iterator[Edit]:
    for scenario in variant.scenarios:
        if scenario.kind == "complaint" and mentions(variant, scenario.id) == 1:
            new = "Does not do what it should"
            said = ("complaint-renamed", (new,), scenario.id, new)
            yield Planted().replace(scenario.at, f'"{new}"'), [said]


@editor
def supply_changed(variant: Variant) -> Iterator[Edit]:
    source = variant.header.at.source
    span = inside(Span(source, 0, len(source.text)), r"12\.6 V")
    assert span is not None
    yield Planted().replace(span, "12.8 V"), [("variant-supply", (variant.id,), "12.6 V", "12.8 V")]


@editor
def another_model_year(variant: Variant) -> Iterator[Edit]:
    source = variant.header.at.source
    span = inside(Span(source, 0, len(source.text)), r"(?<=model-year )\d+")
    assert span is not None
    yield Planted().replace(span, "2031"), [("variant-model-year", (variant.id,), span.text, "2031")]
