"""A zone with a call-out for every thing in it, over the author's drawing or a plain outline."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from compiler.exchange.drawing import Drawing
from compiler.model.items import Connector, Ground, Located, Splice, Zone
from renderers.coding import decoded, encoded
from renderers.document import Figure
from renderers.drawings import svg
from renderers.drawings.callouts import CallOut, Ring, Side, Spot, call_outs, parted
from renderers.sheets.labels import shorten, width
from renderers.store import Store, code_digest, digest
from renderers.text import anchor, number

_ACROSS, _HIGH = 508.0, 350.0  # what a page of Letter leaves for a figure and its key, points
_LABEL, _GAP, _BEND = 122.0, 14.0, 3.0  # the widest label; its distance from the outline; how much of that is level
_STEP, _SIZE = 9.6, 7.0
_LOW, _EACH, _TALLEST = 110.0, 6.0, 230.0  # height of an outline: with few call-outs it need not be tall
_APART = 5.6  # marks nearer than this lie on each other
_FULL = 50  # call-outs on one figure; more take a figure of their own, so that none is scaled down on its page
_KEY = 14.0
_SAME: Mapping[Side, float] = {"left": -1.0, "right": 1.0}


class Sort(NamedTuple):
    """A sort of thing that a call-out leads to, and its mark: an outline about 0, 0."""

    words: str
    mark: str


_COMPONENT = Sort("component or fuse block", "M-2 0A2 2 0 1 1 2 0A2 2 0 1 1 -2 0Z")
_CONNECTOR = Sort("connector", "M-1.9 -1.9H1.9V1.9H-1.9Z")
_SPLICE = Sort("splice", "M0 -2.6L2.6 0L0 2.6L-2.6 0Z")
_GROUND = Sort("ground", "M-2.4 -1.8H2.4L0 2.4Z")
_SORTS = (_COMPONENT, _CONNECTOR, _SPLICE, _GROUND)


_KEPT_NOWHERE = Store(None)


class Given(NamedTuple):
    """What a zone is drawn with: the author's drawing, or why that is not used; where its call-outs are kept."""

    drawing: Drawing | None = None
    refused: str = ""
    store: Store = _KEPT_NOWHERE


_NOTHING = Given()


def draw_zone(zone: Zone, items: Sequence[Located], given: Given = _NOTHING) -> tuple[Figure, ...]:
    """The figures of a zone: one, or one for each sort of thing where there are too many for one.

    Items without a point are left to the list below.
    """
    placed = [item for item in items if item.place and item.place.point]
    groups: list[list[Located]] = [placed]
    if len(placed) > _FULL:
        by_sort = [[item for item in placed if _sort(item) is sort] for sort in _SORTS]
        groups = [own[at : at + _FULL] for own in by_sort for at in range(0, len(own), _FULL)]
    return tuple(_figure(zone, own, given, place) for place, own in enumerate(groups))


def _sort(item: Located) -> Sort:
    match item:
        case Connector():
            return _CONNECTOR
        case Splice():
            return _SPLICE
        case Ground():
            return _GROUND
        case _:
            return _COMPONENT


def _figure(zone: Zone, items: Sequence[Located], given: Given, count: int) -> Figure:
    drawing = given.drawing
    known = zone.width > 0 and zone.height > 0
    # The outline has all the width that the labels leave.
    label = min(_LABEL, 4 + max((width(_words(item), _SIZE) for item in items), default=0.0))
    edge = label + _GAP
    tallest = min(_LOW + _EACH * len(items), _TALLEST)
    scale = min((_ACROSS - 2 * edge) / zone.width, tallest / zone.height) if known else 1.0
    wide, high = max(zone.width * scale, 20.0), max(zone.height * scale, 20.0)
    spots: list[tuple[float, float]] = []
    for item in items:
        x, y = (item.place.point if item.place else None) or (0.0, 0.0)
        # A point beyond the outline is a finding of the checks; here it is drawn at the edge.
        spots.append((min(max(x * scale, 0.0), wide), min(max(y * scale, 0.0), high)))
    spots = parted(spots, (wide, high), _APART)
    outs, tall = _ring(given.store, spots, (wide, high))
    top = (tall - high) / 2
    across, height = wide + 2 * edge, tall + _KEY
    name = f"figure-{anchor('zone', zone.id)}{f'-{count}' if count else ''}"
    box: dict[str, str | float] = {"x": edge, "y": top, "width": wide, "height": high}
    if drawing is None:
        parts = [svg.element("rect", {**box, "rx": 3, "fill": "#f7f7f7", "stroke": "#000", "stroke-width": 0.8})]
    else:
        parts = [placed(drawing, (edge, top, wide, high), f"{name}-")]
    shifted = [(x, top + y) for x, y in spots]
    parts += [_line(out, shifted[out.spot], edge, wide) for out in outs]
    parts += [_label(out, items[out.spot], edge, wide, label) for out in outs]
    parts += [_mark(items[i], edge + x, y) for i, (x, y) in enumerate(shifted)]
    parts.append(_key(dict.fromkeys(map(_sort, items)), edge, tall + 7))
    named = ", ".join(item.id for item in items)
    what = "the author’s drawing" if drawing else "outline"
    alt = f"Zone {zone.title or zone.id}, {what}, with call-outs to {named}"
    title = _title(zone, drawing, given.refused)
    return Figure(name, title, svg.drawing(across, height, parts), across, height, alt)


def _ring(store: Store, spots: Sequence[Spot], size: Spot) -> Ring:
    """Call-outs for spots; they take their time, and what moves in a vehicle from one issue to the next is little."""
    given = (spots, size, _GAP - _BEND, _STEP, _HIGH)
    if not store.folder:
        return call_outs(*given)
    key = digest(("call-outs", code_digest(), repr(given)))
    try:
        found: Ring = decoded(Ring, store.made(key, lambda: encoded(call_outs(*given))))
    except ValueError:
        return call_outs(*given)
    return found


def placed(drawing: Drawing, box: tuple[float, float, float, float], name: str) -> str:
    """An author's drawing as a nested SVG element that fills a box (x, y, width, height); `name` keeps its ids apart
    from those of other drawings."""
    x, y, width, height = box
    given: dict[str, str | float] = {"x": x, "y": y, "width": width, "height": height}
    given |= {"viewBox": f"0 0 {svg.number(drawing.width)} {svg.number(drawing.height)}"}
    return svg.element("svg", {**given, "preserveAspectRatio": "none"}, drawing.markup.replace("{ID}", name))


def _title(zone: Zone, drawing: Drawing | None, refused: str) -> str:
    """The caption: what the drawing calls itself, how it is to be taken, and on what scale its points count."""
    words = [_sentence(drawing.title)] if drawing and drawing.title and drawing.title != zone.title else []
    if refused:
        words.append(f"Plain outline, not to scale: the drawing {zone.drawing} cannot be used: {refused}.")
    elif drawing is None:
        words.append("Plain outline with points, not to scale.")
    else:
        words.append("Not to scale.")
        if drawing.left_out:
            words.append(f"Left out of the drawing, as not fit for a page: {', '.join(drawing.left_out)}.")
    if zone.width > 0 and zone.height > 0:
        size = f"{number(zone.width)} across, {number(zone.height)} down"
        words.append(f"Points count from the upper left corner; the outline is {size}.")
    return " ".join(words)


def _sentence(words: str) -> str:
    return words if words.endswith((".", "!", "?", "…")) else f"{words}."


def _start(side: Side, edge: float, wide: float, away: float) -> float:
    """How far across something stands that is `away` beside the outline."""
    return edge - away if side == "left" else edge + wide + away


def _line(out: CallOut, spot: tuple[float, float], edge: float, wide: float) -> str:
    n, y = svg.number, out.height
    start, bend = _start(out.side, edge, wide, _GAP), edge + out.turn
    # White below black, so that the line stays clear of the drawing under it.
    d = f"M{n(start)} {n(y)}H{n(bend)}L{n(edge + spot[0])} {n(spot[1])}"
    under = svg.element("path", {"d": d, "fill": "none", "stroke": "#fff", "stroke-width": 1.4, "stroke-opacity": 0.7})
    return under + svg.element(
        "path", {"class": "call-out", "d": d, "fill": "none", "stroke": "#333", "stroke-width": 0.45}
    )


def _words(item: Located) -> str:
    return f"{item.id}  {item.title}".rstrip()


def _label(out: CallOut, item: Located, edge: float, wide: float, room: float) -> str:
    x = _start(out.side, edge, wide, _GAP) + 2 * _SAME[out.side]
    anchored = "end" if out.side == "left" else "start"
    words = shorten(_words(item), room - 4, _SIZE)
    return svg.element(
        "g", {"data-item": item.id}, svg.text(x, out.height + _SIZE * 0.35, words, _SIZE, text_anchor=anchored)
    )


def _mark(item: Located, x: float, y: float) -> str:
    given: dict[str, str | float] = {"d": _sort(item).mark, "fill": "#000", "stroke": "#fff", "stroke-width": 0.6}
    given["transform"] = f"translate({svg.number(x)} {svg.number(y)})"
    return svg.element("g", {"data-item": item.id}, svg.element("path", given))


def _key(used: Mapping[Sort, None], x: float, y: float) -> str:
    parts = []
    for sort in _SORTS:
        if sort in used:
            given: dict[str, str | float] = {"d": sort.mark, "transform": f"translate({svg.number(x)} {svg.number(y)})"}
            parts += [svg.element("path", given), svg.text(x + 5, y + 2.4, sort.words, 6.8)]
            x += 14 + 3.6 * len(sort.words)
    return svg.element("g", {}, "".join(parts))
