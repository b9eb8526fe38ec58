"""Comparing what sheets show with what the model says."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from compiler.model.items import Point, Wire
from compiler.model.variant import Variant
from renderers.sheets import SheetFigure
from renderers.sheets.wire_label import label

from .readback import Found, Seen, read_page


def name_of(variant: Variant, point: Point | None) -> str:
    """A point as a sheet names it."""
    if point is None:
        return "?"
    connector = variant.connectors.get(point.item)
    if connector is not None and connector.is_inline:
        return f"{point} {connector.half_name(point.half)}"
    device = variant.devices.get(point.item)
    if device is not None and device.is_protective and device.bus in variant.buses:
        # Of a fuse on a bus only the load side can be wired.
        return f"{device.id}.(load side)" if point.terminal != device.parts[0].terminals[0] else str(point)
    return str(point)


def differences(variant: Variant, figures: Mapping[str, SheetFigure]) -> Iterator[str]:
    """Every way in which the sheets and the model disagree."""
    pages = {name: read_page(figure.svg) for name, figure in figures.items()}
    whole: dict[str, list[str]] = {}
    arrows: dict[tuple[str, str, str], list[str]] = {}
    for name, (found, faults) in pages.items():
        yield from (f"sheet {name}: {fault}" for fault in faults)
        for seen in found:
            wire = variant.wire_by_id.get(seen.label[0])
            if wire is None:
                yield f"sheet {name} shows a wire {seen.label[0]!r} that the model does not have"
                continue
            if seen.label != tuple(t for t in label(wire) if t):
                yield f"sheet {name}: the label of {wire.id} says {seen.label}"
            yield from _ends(variant, name, wire, seen)
            out = [e for e in seen.ends if e.page]
            if not out:
                whole.setdefault(wire.id, []).append(name)
            elif len(out) == 1:
                near = next(e for e in seen.ends if not e.page)
                arrows.setdefault((name, wire.id, near.terminal), []).append(out[0].page)
    for wire in variant.wires:
        if wire.id in whole:
            continue
        halves = [(n, near, to) for (n, w, near), tos in arrows.items() if w == wire.id for to in tos]
        ends = {name_of(variant, e.point) for e in wire.ends}
        shown = {near for n, near, to in halves if any(m == to and t == n for m, _, t in halves)}
        if not ends <= shown:
            yield f"wire {wire.id} is shown nowhere: arrows {halves}"
    for (name, wire_id, terminal), pages_named in arrows.items():
        for to in pages_named:
            there = to in whole.get(wire_id, ()) or any(n == to and w == wire_id and e != terminal for n, w, e in arrows)
            if not there:
                yield f"sheet {name}: the arrow of {wire_id} names sheet {to}, which does not show the wire's far end"


def _ends(variant: Variant, name: str, wire: Wire, seen: Found) -> Iterator[str]:
    """Both ends of a wire seen must be the model's, one way round or the other."""
    ends = wire.ends
    if not any(
        all(_same(variant, end.point, s) for end, s in zip(order, seen.ends, strict=True))
        for order in (ends, ends[::-1])
    ):
        yield f"sheet {name}: {wire.id} is drawn from {seen.ends[0]} to {seen.ends[1]}, not {ends[0].point} to {ends[1].point}"


def _same(variant: Variant, point: Point | None, seen: Seen) -> bool:
    if seen.page:
        connector = variant.connectors.get(point.item) if point else None
        owner = f"{connector.device}  " if connector is not None and connector.device else ""
        return seen.terminal == (f"{owner}{point}" if point else "end not known")
    return seen.terminal == name_of(variant, point)
