"""Measures of a drawn sheet, taken from the geometry of its SVG text: what must be nought, and what should be small."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple
from xml.etree import ElementTree

from renderers.sheets.labels import ASCENT, DESCENT, width

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_SVG = "{http://www.w3.org/2000/svg}"
_LOW = frozenset("gjpqyQ,;()[]{}|/@$_")
TOUCH = 0.25  # points by which things may meet and still count as clear
# Between texts on one line that do not belong together: more than between the words of one label (3 points), so that
# nobody reads on from one into the other.
LEAST_GAP = 4.0


class Box(NamedTuple):
    """An upright rectangle: left, top, right, bottom."""

    x0: float
    y0: float
    x1: float
    y1: float

    def overlaps(self, other: Box, by: float = TOUCH) -> bool:
        """Whether two boxes share more than a seam."""
        return (
            self.x0 + by < other.x1 and other.x0 + by < self.x1 and self.y0 + by < other.y1 and other.y0 + by < self.y1
        )


class Segment(NamedTuple):
    """A straight piece of a line, with its width."""

    x0: float
    y0: float
    x1: float
    y1: float
    width: float


class Text(NamedTuple):
    """A line of text: its box, words, size as drawn, and the group it stands in."""

    box: Box
    words: str
    size: float
    bold: bool
    group: int


class Wire(NamedTuple):
    """A wire: its id and the points of its line."""

    id: str
    points: tuple[tuple[float, float], ...]

    def segments(self) -> Iterator[Segment]:
        """Its straight pieces, outline included."""
        for (x0, y0), (x1, y1) in itertools.pairwise(self.points):
            yield Segment(x0, y0, x1, y1, 3.0)


@dataclass(slots=True)
class Drawing:
    """The geometry of a sheet, of a `size` in the units of the drawing. `strokes`: pieces of lines that are no wires, each with its group; `bodies`: what each
    item's outlines cover (its lines, if it has none), with its group."""

    scale: float
    size: tuple[float, float]
    wires: list[Wire]
    texts: list[Text]
    strokes: list[tuple[Segment, int]]
    bodies: list[tuple[int, Box]]
    names: dict[int, str]
    arrows: int

    def covers(self, wires: bool = True) -> Iterator[Box]:
        """Boxes of all ink: text, lines, what items cover, and wires unless they are left out."""
        yield from (text.box for text in self.texts)
        yield from (_box(piece) for piece, _ in self.strokes)
        yield from (_box(piece) for wire in self.wires if wires for piece in wire.segments())
        yield from (box for _, box in self.bodies)


@dataclass(frozen=True, slots=True)
class Measures:
    """What was measured. All but the last four must be nought, `smallest_text_pt` at least 6.5."""

    boxes_overlapping: int
    text_on_text: int
    text_on_line: int
    texts_too_near: int
    wires_through_boxes: int
    shared_segments: int
    wires_touching: int
    smallest_text_pt: float
    wires: int
    crossings: int
    bends: int
    faults: tuple[str, ...]

    @property
    def clean(self) -> bool:
        """Whether nothing is wrong."""
        return not self.faults and self.smallest_text_pt >= 6.5


def read_svg(text: str) -> Drawing:
    """The geometry of a sheet's SVG. Made for drawings of this package only: paths of M, L and A, no curves."""
    root = ElementTree.fromstring(text)  # noqa: S314 - our own output, no entities
    view = [float(n) for n in root.get("viewBox", "0 0 1 1").split()]
    scale = float(_NUMBER.findall(root.get("width", "1"))[0]) / view[2]
    drawing = Drawing(scale, (view[2], view[3]), [], [], [], [], {}, 0)
    for number, group in enumerate(root.findall(f"{_SVG}g")):
        name = group.get("class", "")
        if name == "wire":
            first = group.find(f"{_SVG}path")
            assert first is not None
            drawing.wires.append(Wire(group.get("data-wire", ""), tuple(_points(first.get("d", "")))))
            continue
        drawing.names[number] = f"{name} {group.get('data-item', group.get('data-wire', ''))}"
        drawing.arrows += name == "arrow"
        covers: list[Box] = []
        rects: list[Box] = []
        for element in group.iter():
            kind = element.tag.removeprefix(_SVG)
            if kind == "text":
                drawing.texts.append(_text(element, number))
            elif kind in ("path", "rect", "circle"):
                pieces = list(_segments(element, kind))
                drawing.strokes += [(piece, number) for piece in pieces]
                covers += [_box(piece) for piece in pieces]
                if kind == "rect":
                    rects.append(_around([_box(piece) for piece in pieces]))
        # A box is what its outlines cover; a mark without outline is what its lines cover.
        if name not in ("frame", "label", "mark"):
            drawing.bodies += [(number, box) for box in _outer(rects or [_around(covers)] if covers else [])]
    return drawing


def outline(group: ElementTree.Element) -> Box | None:
    """The box around all lines of a group, text left out; None if it has none."""
    kinds = ((e, e.tag.removeprefix(_SVG)) for e in group.iter())
    boxes = [_box(s) for e, kind in kinds if kind in ("path", "rect", "circle") for s in _segments(e, kind)]
    return _around(boxes) if boxes else None


def texts_in(group: ElementTree.Element) -> list[Text]:
    """The lines of text of a group."""
    return [_text(element, 0) for element in group.iter(f"{_SVG}text")]


def measure(text: str) -> Measures:
    """Measure a sheet's SVG."""
    drawing = read_svg(text)
    faults: list[str] = []

    def count(name: str, found: Iterator[str]) -> int:
        rows = [f"{name}: {row}" for row in found]
        faults.extend(rows)
        return len(rows)

    pieces = [(w.id, s) for w in drawing.wires for s in w.segments()]
    return Measures(
        count("boxes overlap", _overlaps(drawing)),
        count("text on text", _text_on_text(drawing)),
        count("text on line", _text_on_line(drawing, pieces)),
        count("text near text", _text_near_text(drawing)),
        count("wire through box", _through_boxes(drawing)),
        count("shared segment", _shared(pieces, 0.5)),
        count("wires touch", _shared(pieces, 2.9)),
        min((t.size * drawing.scale for t in drawing.texts), default=99.0),
        len(drawing.wires),
        sum(1 for _ in _crossings(pieces)),
        sum(max(0, len(w.points) - 2) for w in drawing.wires),
        tuple(faults),
    )


# -- reading ---------------------------------------------------------------------------------------------------------
def _points(data: str) -> Iterator[tuple[float, float]]:
    numbers = [float(n) for n in _NUMBER.findall(data)]
    yield from zip(numbers[::2], numbers[1::2], strict=True)


def _text(element: ElementTree.Element, group: int) -> Text:
    x, y, size = (float(element.get(name, "0")) for name in ("x", "y", "font-size"))
    bold = element.get("font-weight") == "700"
    words = element.text or ""
    wide = width(words, size, bold)
    low = size * (DESCENT if _LOW & set(words) else 0.02)
    shift = {"middle": wide / 2, "end": wide}.get(element.get("text-anchor", ""), 0.0)
    if element.get("transform"):
        box = Box(x - size * ASCENT, y - wide + shift, x + size * DESCENT, y + shift)
    else:
        box = Box(x - shift, y - size * ASCENT, x - shift + wide, y + low)
    return Text(box, words, size, bold, group)


def _segments(element: ElementTree.Element, kind: str) -> Iterator[Segment]:
    """Straight pieces of a shape's outline; circles and arcs in short chords."""
    pen = 0.0 if element.get("stroke") == "none" else float(element.get("stroke-width", "0.8"))
    points: list[tuple[float, float]] = []
    if kind == "rect":
        x, y, w, h = (float(element.get(n, "0")) for n in ("x", "y", "width", "height"))
        points = [(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)]
    elif kind == "circle":
        x, y, r = (float(element.get(n, "0")) for n in ("cx", "cy", "r"))
        points = [(x + r * math.cos(a * math.pi / 8), y + r * math.sin(a * math.pi / 8)) for a in range(17)]
    else:
        data = element.get("d", "")
        if "A" in data:
            points = list(_arc([float(n) for n in _NUMBER.findall(data)]))
        else:
            points = list(_points(data.rstrip("Z")))
            if data.endswith("Z"):
                points.append(points[0])
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        yield Segment(x0, y0, x1, y1, pen)


def _arc(n: list[float]) -> Iterator[tuple[float, float]]:
    """Points of a path `Mx yAr r 0 large 1 x y`."""
    x0, y0, r, _, _, large, _, x1, y1 = n
    mx, my = (x0 + x1) / 2, (y0 + y1) / 2
    half = math.hypot(x1 - x0, y1 - y0) / 2
    rise = math.sqrt(max(0.0, r * r - half * half))
    ux, uy = (-(y1 - y0) / (2 * half), (x1 - x0) / (2 * half)) if half else (0.0, 0.0)
    sign = -1 if large else 1
    cx, cy = mx + sign * ux * rise, my + sign * uy * rise
    start, end = math.atan2(y0 - cy, x0 - cx), math.atan2(y1 - cy, x1 - cx)
    if end < start:
        end += 2 * math.pi
    for step in range(13):
        angle = start + (end - start) * step / 12
        yield cx + r * math.cos(angle), cy + r * math.sin(angle)


def _around(boxes: list[Box]) -> Box:
    """The box around some boxes."""
    return Box(min(b.x0 for b in boxes), min(b.y0 for b in boxes), max(b.x1 for b in boxes), max(b.y1 for b in boxes))


def _outer(boxes: list[Box]) -> Iterator[Box]:
    """Boxes that lie in no other."""
    for index, box in enumerate(boxes):
        rest = boxes[:index] + [b for b in boxes[index + 1 :] if b != box]
        if not any(b.x0 <= box.x0 and b.y0 <= box.y0 and b.x1 >= box.x1 and b.y1 >= box.y1 for b in rest):
            yield box


def _box(piece: Segment) -> Box:
    pad = piece.width / 2
    return Box(
        min(piece.x0, piece.x1) - pad,
        min(piece.y0, piece.y1) - pad,
        max(piece.x0, piece.x1) + pad,
        max(piece.y0, piece.y1) + pad,
    )


# -- counting --------------------------------------------------------------------------------------------------------
def _overlaps(drawing: Drawing) -> Iterator[str]:
    for index, (one, box) in enumerate(drawing.bodies):
        for other, rival in drawing.bodies[index + 1 :]:
            if one != other and box.overlaps(rival):
                yield f"{drawing.names[one]} and {drawing.names[other]}"


def _text_on_text(drawing: Drawing) -> Iterator[str]:
    for index, one in enumerate(drawing.texts):
        for other in drawing.texts[index + 1 :]:
            if one.box.overlaps(other.box, 0.4):
                yield f"{one.words!r} and {other.words!r}"


def _text_near_text(drawing: Drawing) -> Iterator[str]:
    """Texts of different things that stand side by side with too little between them. Readings have frames round them."""
    loose = [t for t in drawing.texts if drawing.names[t.group] not in ("frame ", "reading ")]
    for index, one in enumerate(loose):
        for other in loose[index + 1 :]:
            rows = min(one.box.y1, other.box.y1) - max(one.box.y0, other.box.y0)
            gap = max(one.box.x0, other.box.x0) - min(one.box.x1, other.box.x1)
            if one.group != other.group and rows > 1 and 0 <= gap < LEAST_GAP - 0.01:
                yield f"{one.words!r} and {other.words!r}, {gap:.1f} apart"


def _text_on_line(drawing: Drawing, pieces: list[tuple[str, Segment]]) -> Iterator[str]:
    lines = [(f"wire {w}", s, _box(s)) for w, s in pieces]
    lines += [(drawing.names[g], s, _box(s)) for s, g in drawing.strokes]
    for text in drawing.texts:
        # Letters reach the full height of their box only now and then: what touches the cap line is clear.
        tight = Box(text.box.x0, text.box.y0 + 0.1, text.box.x1, text.box.y1 - 0.1)
        for name, piece, box in lines:
            if tight.overlaps(box, 0.05) and _meets(tight, piece):
                yield f"{text.words!r} on {name}"


def _meets(box: Box, piece: Segment) -> bool:
    """Whether a line of some width enters a box."""
    pad = piece.width / 2
    x0, y0, x1, y1 = box.x0 - pad, box.y0 - pad, box.x1 + pad, box.y1 + pad
    dx, dy = piece.x1 - piece.x0, piece.y1 - piece.y0
    low, high = 0.0, 1.0
    for p, q in ((-dx, piece.x0 - x0), (dx, x1 - piece.x0), (-dy, piece.y0 - y0), (dy, y1 - piece.y0)):
        if p == 0:
            if q <= 0:
                return False
            continue
        t = q / p
        if p < 0:
            low = max(low, t)
        else:
            high = min(high, t)
    return low < high - 1e-9


def _through_boxes(drawing: Drawing) -> Iterator[str]:
    for wire in drawing.wires:
        ends = (wire.points[0], wire.points[-1])
        for group, body in drawing.bodies:
            own = any(body.x0 - 3 <= x <= body.x1 + 3 and body.y0 - 3 <= y <= body.y1 + 3 for x, y in ends)
            deep = 4.0 if own else 0.3
            inner = Box(body.x0 + deep, body.y0 + deep, body.x1 - deep, body.y1 - deep)
            if inner.x0 < inner.x1 and inner.y0 < inner.y1:
                thin = [s._replace(width=0.0) if own else s for s in wire.segments()]
                if any(_meets(inner, piece) for piece in thin):
                    yield f"{wire.id} through {drawing.names[group]}"


def _shared(pieces: list[tuple[str, Segment]], near: float) -> Iterator[str]:
    """Pairs of wires that run along each other nearer than `near`."""
    for upright in (True, False):
        rows = []
        for wire, s in pieces:
            if upright and s.x0 == s.x1:
                rows.append((s.x0, min(s.y0, s.y1), max(s.y0, s.y1), wire))
            elif not upright and s.y0 == s.y1:
                rows.append((s.y0, min(s.x0, s.x1), max(s.x0, s.x1), wire))
        rows.sort()
        for index, (at, start, end, wire) in enumerate(rows):
            for at2, start2, end2, other in rows[index + 1 :]:
                if at2 - at >= near:
                    break
                if min(end, end2) - max(start, start2) > 0.01 and (wire != other or near > 1 or at2 == at):
                    yield f"{wire} and {other} at {at:g}"


def _crossings(pieces: list[tuple[str, Segment]]) -> Iterator[tuple[float, float]]:
    across = [(s.y0, min(s.x0, s.x1), max(s.x0, s.x1)) for _, s in pieces if s.y0 == s.y1]
    for _, s in pieces:
        if s.x0 == s.x1:
            top, low = min(s.y0, s.y1), max(s.y0, s.y1)
            for y, left, right in across:
                if top < y < low and left < s.x0 < right:
                    yield s.x0, y
