"""One planter a check: given the clean demo, every place where its fault can be planted by editing the source text."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterator

from compiler.circuit.feeds import Feeds
from compiler.circuit.graph import FEEDING, Graph, Reached
from compiler.model.items import Behaviour, Device, Point, Wire
from compiler.model.variant import Variant
from compiler.standards.fuses import fuse_type
from compiler.standards.links import link_fits
from compiler.standards.protection import policy
from compiler.standards.sizes import read_size
from grammar.source import Span
from tests.seeded.edits import (
    Planted,
    end_at,
    end_span,
    file_end,
    header_end,
    line_end,
    line_start,
    plain_wires,
    word_span,
)

Planter = Callable[[Variant, Feeds], Iterator[Planted]]
PLANTERS: dict[str, Planter] = {}


def planter(name: str) -> Callable[[Planter], Planter]:
    def register(function: Planter) -> Planter:
        PLANTERS[name] = function
        return function

    return register


def inline_ends(variant: Variant) -> Iterator[tuple[Wire, Point]]:
    for wire in plain_wires(variant):
        for end in wire.ends:
            if end.point and (connector := variant.connectors.get(end.point.item)) and connector.is_inline:
                yield wire, end.point


def zone_of(variant: Variant) -> str:
    return next(iter(variant.zones))


@planter("dangling-cavity")
def dangling(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for wire, point in inline_ends(variant):
        twin = variant.wires_at(point._replace(half=1 - point.half))
        if len(twin) != 1 or len(variant.wires_at(point)) != 1:
            continue
        far = next(e for e in wire.ends if e.point != point).point
        if far is None or variant.connectors.get(far.item):
            continue
        # The wire goes to a new splice's neighbour no more: its line is taken out.
        yield Planted().replace(wire.span, "").at(end_span(twin[0], end_at(twin[0], point._replace(half=1 - point.half))))


@planter("cavity-out-of-range")
def out_of_range(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for wire, point in inline_ends(variant):
        span = end_span(wire, end_at(wire, point))
        yield Planted().replace(span, f"{point.item}.Z99").at(span)


@planter("cavity-overfilled")
def overfilled(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for wire, point in inline_ends(variant):
        for other in variant.wired_points(point.item):
            if other.half == point.half and other != point:
                span = end_span(wire, end_at(wire, point))
                theirs = variant.wires_at(other)[0]
                yield (
                    Planted()
                    .replace(span, f"{other.item}.{other.terminal}")
                    .at(span)
                    .at(end_span(theirs, end_at(theirs, other)))
                )
                break


@planter("duplicate-id")
def duplicate_id(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for group in (variant.grounds, variant.devices, variant.zones, variant.harnesses, variant.connectors):
        for item in group.values():
            word = "zone" if group is variant.zones else "harness" if group is variant.harnesses else "ground"
            end = file_end(item.at.source)
            planted = Planted().insert(end, f"\n{word} {item.id}  # second\n").at(item.at)
            yield planted.at_words(end.source, "# second")


@planter("duplicate-splice")
def duplicate_splice(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for splice in variant.splices.values():
        start = line_start(splice.span)
        planted = Planted().insert(start, f"splice {splice.id} in {splice.harness}  # second\n").at(splice.at)
        yield planted.at_words(start.source, "# second")


@planter("unknown-name")
def unknown(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for wire in plain_wires(variant):
        for end in wire.ends:
            span = end_span(wire, end)
            yield Planted().replace(span, "QX" + end.written.text).at(span)


@planter("lone-splice")
def lone(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    zone = zone_of(variant)
    for splice in variant.splices.values():
        wires = variant.wires_at(Point(splice.id, ""))
        if len(wires) < 4:
            continue
        wire = wires[-1]
        new = f"splice SPX99 in {splice.harness} at {zone} (1, 1)\n"
        start = line_start(splice.span)
        planted = Planted().insert(start, new).replace(end_span(wire, end_at(wire, Point(splice.id, ""))), "SPX99")
        yield planted.at_words(start.source, "splice SPX99")


@planter("unfused-feed")
def unfused(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    battery = next(device.id for device in variant.devices.values() if device.kind == "battery")
    for device in variant.devices.values():
        if device.kind != "fuse" or not device.bus:
            continue
        point = Point(device.id, device.parts[0].terminals[1])
        for wire in variant.wires_at(point):
            span = end_span(wire, end_at(wire, point))
            yield Planted().replace(span, f"{battery}.+").at(span)


def _rating(device: Device) -> Span:
    match = re.search(r"\d+(?:\.\d+)?(?=\s*A\b)", device.span.text)
    assert match
    start = device.span.start + match.start()
    return Span(device.span.source, start, start + len(match[0]))


@planter("oversized-fuse")
def oversized(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    limits = policy("33cfr183-105c")
    for protection in feeds.protections:
        device = protection.device
        if device.kind != "fuse":
            continue
        load = feeds.graph.points[protection.load]
        sizes = [w.size for w in variant.wires_at(load) if w.size]
        if not sizes:
            continue
        largest = min(limits.largest_fuse_a(s) for s in sizes)
        rating = next((r for r in (30, 40, 60, 80, 100, 200) if r > largest), None)
        if rating:
            yield Planted().replace(_rating(device), f"{rating}").at(device.at)


@planter("size-step-unprotected")
def size_step(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    limits = policy("33cfr183-105c")
    small = read_size("0.22", "mm2")
    for protection in feeds.protections:
        rating = protection.device.ratings.get("current", 0)
        if protection.device.kind != "fuse" or rating <= limits.largest_fuse_a(small):
            continue
        load = feeds.graph.points[protection.load]
        for wire in protection.wires:
            if load in (wire.a.point, wire.b.point) or wire.core:
                continue
            own = re.search(r"\d+(?:\.\d+)?\s*mm2", wire.span.text)
            planted = Planted().at(wire.at)
            if own:
                start = wire.span.start + own.start()
                planted.replace(Span(wire.span.source, start, start + len(own[0])), "0.22 mm2")
            else:
                planted.insert(line_end(wire.at), "  0.22 mm2 ")
            yield planted
            break


@planter("fusible-link-size")
def link_size(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for protection in feeds.protections:
        device = protection.device
        if device.kind != "fusible-link" or device.size is None:
            continue
        match = re.search(r"\d+(?:\.\d+)?(?:/0)?(?=[ \t]+(?:mm2|AWG|SAE))", device.span.text)
        assert match
        start = device.span.start + match.start()
        span = Span(device.span.source, start, start + len(match[0]))
        wires = [w for w in variant.wires_at(feeds.graph.points[protection.load]) if w.size]
        names = ("4", "6", "8", "10", "11", "12", "13", "14", "15", "16", "18", "20", "22")
        for name in names if device.size.system == "AWG" else ():
            wrong = read_size(name, device.size.system)
            if all(link_fits(wrong, w.size) is False for w in wires if w.size):
                yield Planted().replace(span, name).at(device.at)


@planter("fuse-colour")
def fuse_colour(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for device in variant.devices.values():
        if device.kind != "fuse" or not device.word("type"):
            continue
        kind, rating = fuse_type(device.word("type")), device.ratings["current"]
        if not kind.enforces_colour(rating):
            continue
        wrong = next(c for c in ("pink", "red", "green") if kind.fits_colour(rating, c) is False)
        if "colour" in device.words:
            yield Planted().replace(word_span(device.at.source, device.words["colour"]), wrong).at(device.at)
        else:
            yield Planted().insert(header_end(device), f" colour {wrong}").at(device.at)


@planter("fuse-rating")
def fuse_rating(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for device in variant.devices.values():
        if device.kind == "fuse" and device.word("type") and fuse_type(device.word("type")).enforces_ratings():
            yield Planted().replace(_rating(device), "6").at(device.at)


def _circuit_colours(variant: Variant) -> Iterator[tuple[Span, str]]:
    for circuit in variant.circuits.values():
        word = circuit.colour_written
        if word is not None:
            yield Span(circuit.at.source, word.start, word.end), circuit.colour or ""


@planter("colour-unknown")
def colour_unknown(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for span, _ in _circuit_colours(variant):
        yield Planted().replace(span, "QZ/WH").at(span)


@planter("tracer-same-as-base")
def tracer_same(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for span, colour in _circuit_colours(variant):
        base = colour.split("/")[0]
        if base != "GNYE":
            yield Planted().replace(span, f"{base}/{base}").at(span)


@planter("no-standard-tracer")
def no_tracer(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    bare = next(code for code in variant.colours.colours if code not in variant.colours.tracers and code != "GNYE")
    for span, _ in _circuit_colours(variant):
        yield Planted().replace(span, f"{bare}*").at(span)


@planter("colour-mismatch")
def mismatch(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for wire in plain_wires(variant):
        if wire.own_colour or not wire.colour or len(variant.wires_of_circuit(wire.circuit)) < 2:
            continue
        other = "PK/GN" if wire.colour != "PK/GN" else "PK/BU"
        yield Planted().insert(line_end(wire.at), f"  {other} ").at(wire.at)


def _strictly_fed(feeds: Feeds) -> Reached:
    """What a supply reaches without passing anything that uses current."""
    passes = (FEEDING | {Behaviour.PROTECTION}) - {Behaviour.STRUCTURE, Behaviour.RESISTOR}
    return feeds.graph.flood(feeds.plus, passes)


def _sole_ground_wires(variant: Variant, feeds: Feeds, behaviour: Behaviour) -> Iterator[tuple[Wire, Point, Device]]:
    """Wires that alone take one load's current to a ground point."""
    graph = feeds.graph
    fed = _strictly_fed(feeds)
    for edge in graph.edges:
        if edge.behaviour is not behaviour or not edge.device:
            continue
        for node in (edge.a, edge.b):
            point = graph.points[node]
            near = point
            found = variant.connector_of_terminal(variant.devices[edge.device], point.terminal)
            if found:
                near = Point(found[0], found[1], 0)
            wires = variant.wires_at(near)
            if len(wires) != 1 or wires[0].core:
                continue
            far = [e.point for e in wires[0].ends if e.point != near]
            if len(far) != 1 or not far[0] or node in fed.by:
                continue
            joined = far[0].item in variant.grounds or (
                far[0].item in variant.splices and len(variant.wires_at(far[0])) > 2
            )
            if joined:
                yield wires[0], far[0], variant.devices[edge.device]


def _unground(variant: Variant, feeds: Feeds, behaviour: Behaviour) -> Iterator[Planted]:
    for wire, point, device in _sole_ground_wires(variant, feeds, behaviour):
        start = file_end(wire.span.source)
        text = f"\nstructure nowhere\nground GX99 on nowhere at {zone_of(variant)} (1, 1)\n"
        planted = Planted().insert(start, text).replace(end_span(wire, end_at(wire, point)), "GX99")
        yield planted.at(device.at).at(wire.at)


@planter("no-return")
def no_return(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    yield from _unground(variant, feeds, Behaviour.LOAD)


@planter("relay-never-energised")
def relay_dead(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    zone = zone_of(variant)
    graph = feeds.graph
    for edge in graph.edges:
        if edge.behaviour is not Behaviour.COIL:
            continue
        for node in (edge.a, edge.b):
            point = graph.points[node]
            for wire in variant.wires_at(point)[:1]:
                if wire.core or len(variant.wires_at(point)) != 1:
                    continue
                far = next(e for e in wire.ends if e.point != point)
                planted = Planted().insert(line_start(wire.span), "").replace(end_span(wire, far), "BUSX99")
                source = variant.sources[0]
                planted.insert(file_end(source), f"\nbus BUSX99 at {zone} (1, 1)\n")
                device = variant.devices[edge.device]
                yield planted.at(device.at).at(edge.owner.at).at(wire.at)


@planter("no-feed")
def no_feed(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    zone = zone_of(variant)
    graph = feeds.graph
    fed = _strictly_fed(feeds)
    for edge in graph.edges:
        if edge.behaviour is not Behaviour.LOAD or not edge.device:
            continue
        device = variant.devices[edge.device]
        point = graph.points[edge.a]
        found = variant.connector_of_terminal(device, point.terminal)
        near = Point(found[0], found[1], 0) if found else point
        wires = variant.wires_at(near)
        if len(wires) != 1 or wires[0].core or edge.a not in fed.by:
            continue
        far = next((e for e in wires[0].ends if e.point != near), None)
        if far is None or far.point is None or far.point.item in variant.connectors:
            continue  # at a connector the cavity left behind is reported instead
        planted = Planted().replace(end_span(wires[0], far), "BUSX99")
        planted.insert(file_end(variant.sources[0]), f"\nbus BUSX99 at {zone} (1, 1)\n")
        yield planted.at(device.at).at(wires[0].at)


@planter("back-feed")
def back_feed(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    graph: Graph = feeds.graph
    fuses = [p for p in feeds.protections if p.device.kind == "fuse"]
    for one, two in itertools.pairwise(fuses):
        if set(one.own.by) & set(two.own.by):
            continue
        a, b = graph.points[one.load], graph.points[two.load]
        circuit = next(iter(variant.wires_at(a)), None)
        sheet = variant.sheets_of_circuit(circuit.circuit)[:1] if circuit else ()
        if not sheet or circuit is None or circuit.size is None:
            continue
        target = variant.circuits[circuit.circuit]
        brace = target.span.source.text.rfind("}", target.span.start, target.span.end)
        where = Span(target.span.source, brace, brace)
        yield Planted().insert(where, f"\n  ZZ  {a} -- {b}  0.5 m\n").at_words(where.source, "  ZZ  ")


@planter("switch-contact-unused")
def contact_unused(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for device in variant.devices.values():
        for part in device.parts:
            if part.kind == "contact" and part.at.source in variant.sources and device.positions:
                where = Span(part.at.source, part.at.start, part.at.start)
                when = device.positions[-1]
                yield Planted().insert(where, f"contact X8 X9 when {when}; ").at(part.at).at(device.at)


@planter("option-never-applies")
def option_dead(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    header = variant.header.at.source
    text = header.text
    block = text.index("{", variant.header.at.end) + 1
    for number in range(25):
        name = f"EXTRA-{number}"
        planted = Planted().insert(Span(header, block, block), f" options {name};")
        planted.insert(file_end(header), f'\noption {name} "Extra {number}"\n')
        yield planted.at(Span(header, block - 1, block))


@planter("unused-fragment-item")
def unused_item(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    zone = zone_of(variant)
    made = (
        f"ground ZX{{}} at {zone} (2, 2)\n",
        f"bus ZX{{}} at {zone} (2, 2)\n",
        "harness zx{}\n",
        "structure zx{}\n",
        "zone zx{} 10 by 10\n",
    )
    for index, source in enumerate(variant.sources * 6):
        text = made[index % len(made)].format(index)
        yield Planted().insert(Span(source, 0, 0), text).at_words(source, f"x{index}" if "x{}" in made[index % 5] else f"X{index}")


@planter("not-known")
def not_known(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for wire in plain_wires(variant):
        yield Planted().insert(line_end(wire.at), "  colour ? ").at(wire.at)


@planter("waiver-unused")
def waiver_unused(variant: Variant, feeds: Feeds) -> Iterator[Planted]:
    for wire in plain_wires(variant):
        yield Planted().insert(line_end(wire.span), '  allow lone-splice "planted"').at(wire.at)
