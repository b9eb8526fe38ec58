"""Drawings of wiring sheets as published, taken apart into strokes and words: from the SVG of the page and from the PDF.

Nothing here knows how a sheet is made. Positions are in the drawing's own units from the SVG, in points of the page from
the PDF; zones of the frame are found from the letters and figures that stand round it, and from nothing else.
"""

from __future__ import annotations

import re
import subprocess
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

from lxml import etree, html

Spot = tuple[float, float]

_LETTERS, _FIGURES = "ABCDEFGH", "12345678"
_NUMBER = r"-?\d+(?:\.\d+)?(?:e-?\d+)?"
_PAIRS = re.compile(rf"([ML])\s*({_NUMBER})[ ,]({_NUMBER})")
_MATRIX = re.compile(r"matrix\(([^)]*)\)")
_RGB = re.compile(r"rgb\(([^)]*)\)")
_MIDDLE = 0.35  # of its size: how high above its baseline the middle of a word's box lies, as poppler draws the box
BESIDE = 6.5  # a label is no further from its line
_CHARACTER = 0.56  # of its size: about how wide a character is


class Word(NamedTuple):
    """A word on paper, by its box. What is read from elsewhere than a PDF has no box: it is where it is anchored."""

    x: float
    y: float
    end: float
    foot: float
    text: str

    @property
    def middle(self) -> Spot:
        return (self.x + self.end) / 2, (self.y + self.foot) / 2


class Stroke(NamedTuple):
    """A line of straight pieces: its points, how wide it is, its colour as `#RRGGBB`, whether it is dashed."""

    points: tuple[Spot, ...]
    width: float
    colour: str
    dashed: bool


class Upright(NamedTuple):
    """An upright piece of a stroke."""

    x: float
    top: float
    foot: float
    stroke: Stroke


def uprights(strokes: Iterable[Stroke]) -> list[Upright]:
    """The upright pieces of strokes."""
    return [
        Upright(x0, min(y0, y1), max(y0, y1), stroke)
        for stroke in strokes
        for (x0, y0), (x1, y1) in pairwise(stroke.points)
        if abs(x0 - x1) < 0.05
    ]


class Label(NamedTuple):
    """What is written beside a wire: the wire (on paper the first word), all that it says, and the colours of the line
    that it stands at, widest first; none where it stands at no line."""

    wire: str
    says: str
    colours: tuple[str, ...]


class Frame(NamedTuple):
    """Middles of the zones: figures across, letters down."""

    across: Mapping[str, float]
    down: Mapping[str, float]

    def zone(self, spot: Spot) -> str:
        """The zone of a spot: the nearest letter and the nearest figure, for zones of one frame are equally wide."""
        column = min(self.across, key=lambda figure: abs(self.across[figure] - spot[0]))
        row = min(self.down, key=lambda letter: abs(self.down[letter] - spot[1]))
        return row + column

    def zones(self, spot: Spot, air: float) -> frozenset[str]:
        """The zones of a spot that may be this much elsewhere."""
        x, y = spot
        return frozenset(self.zone((x + dx, y + dy)) for dx in (-air, 0, air) for dy in (-air, 0, air))


def frame_of(words: Sequence[Word]) -> Frame:
    """The frame by the figures along its upper edge and the letters down its left one: the first that count from 1, or
    from A, to six or eight. Letters differ in width, so that it is their middles that are in line."""
    ones = sorted((word for word in words if word.text == "1"), key=lambda word: word.foot)
    rows = ({w.text: w.middle[0] for w in words if abs(w.foot - one.foot) < 1 and len(w.text) == 1} for one in ones)
    firsts = sorted((word for word in words if word.text == "A"), key=lambda word: word.x)
    columns = ({w.text: w.middle[1] for w in words if abs(w.x - a.x) < 2.5 and len(w.text) == 1} for a in firsts)
    return Frame(_counted(rows, _FIGURES), _counted(columns, _LETTERS))


def _counted(found: Iterable[Mapping[str, float]], names: str) -> Mapping[str, float]:
    for places in found:
        for count in (8, 6):
            if set(places) == set(names[:count]):
                steps = [b - a for a, b in pairwise(places[name] for name in names[:count])]
                assert max(steps) - min(steps) < 1.5, "zones of one frame are equally wide"
                return places
    raise AssertionError(f"the drawing has no frame of {names}")


# -- the page ----------------------------------------------------------------------------------------------------------


class Written(NamedTuple):
    """A line of text in a drawing: where it is anchored and how, its size, the class of the group that it stands in and
    the item of that group."""

    x: float
    y: float
    anchor: str
    size: float
    bold: bool
    turned: bool
    text: str
    kind: str
    item: str
    group: int

    @property
    def box(self) -> Word:
        """About where it stands."""
        wide = self.size * _CHARACTER * len(self.text)
        x = self.x - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor]
        middle = self.y - _MIDDLE * self.size
        return Word(x, middle - self.size / 2, x + wide, middle + self.size / 2, self.text)


class Drawing(NamedTuple):
    """A drawing as the page has it."""

    texts: tuple[Written, ...]
    strokes: tuple[Stroke, ...]
    wires: Mapping[str, tuple[Stroke, ...]]
    labels: tuple[tuple[str, tuple[Written, ...]], ...]

    @property
    def frame(self) -> Frame:
        return frame_of([text.box for text in self.texts if text.kind == "frame"])


def drawing_of(svg: html.HtmlElement) -> Drawing:
    """The drawing of an SVG element."""
    texts, strokes = [], []
    wires: defaultdict[str, list[Stroke]] = defaultdict(list)
    labels = []
    for number, group in enumerate(svg.iterfind("g")):
        kind = str(group.get("class"))
        own = [_written(text, kind, number) for text in group.iter("text")]
        drawn = [stroke for shape in group.iter("path", "rect") if (stroke := _stroke(shape))]
        texts += own
        strokes += drawn
        if kind == "wire":
            wires[str(group.get("data-wire"))] += drawn
        if kind == "label":
            labels.append((str(group.get("data-wire")), tuple(own)))
    return Drawing(tuple(texts), tuple(strokes), {wire: tuple(own) for wire, own in wires.items()}, tuple(labels))


def _written(text: html.HtmlElement, kind: str, group: int) -> Written:
    owner = next((e for e in text.iterancestors("g") if e.get("data-item")), None)
    return Written(
        float(text.get("x", 0)),
        float(text.get("y", 0)),
        str(text.get("text-anchor", "start")),
        float(text.get("font-size", 0)),
        text.get("font-weight") == "700",
        text.get("transform") is not None,
        str(text.text or ""),
        kind,
        "" if owner is None else str(owner.get("data-item")),
        group,
    )


def _inherited(element: html.HtmlElement, name: str, default: str) -> str:
    owners = (element, *element.iterancestors())
    return next((str(owner.get(name)) for owner in owners if owner.get(name) is not None), default)


def _stroke(shape: html.HtmlElement) -> Stroke | None:
    """The stroke of a path of straight pieces, or of a rectangle; None for anything else."""
    colour = _inherited(shape, "stroke", "none")
    if colour == "none":
        return None
    if shape.tag == "rect":
        x, y, wide, high = (float(shape.get(name, 0)) for name in ("x", "y", "width", "height"))
        points: tuple[Spot, ...] = ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high), (x, y))
    else:
        points = straight(str(shape.get("d", "")))
    width = float(_inherited(shape, "stroke-width", "1"))
    return (
        Stroke(points, width, colour.lower(), shape.get("stroke-dasharray") is not None) if _is_line(points) else None
    )


def _is_line(points: tuple[Spot, ...]) -> bool:
    """Whether there is anything to be seen; a stroke from a spot to itself leaves no ink."""
    return any(spot != points[0] for spot in points)


def straight(data: str) -> tuple[Spot, ...]:
    """The points of a path that is one line of straight pieces, the first again at the end of a closed one; none of any
    other path."""
    if re.search(r"[a-zA-Z]", re.sub(r"[MLZ]|e-", "", data)):
        return ()
    first, closed, _ = data.partition("Z")
    points = tuple((float(x), float(y)) for _, x, y in _PAIRS.findall(first))
    return (*points, points[0]) if closed else points


def page_labels(drawing: Drawing) -> list[Label]:
    """The labels of a drawing, each with the colours of its wire's line where the label stands at it."""
    found = []
    for wire, texts in drawing.labels:
        line = line_beside(uprights(drawing.wires.get(wire, ())), texts[0].x, texts[0].y - 2)
        found.append(Label(wire, "".join(text.text for text in texts), colours_of(line)))
    return found


def line_beside(pieces: Iterable[Upright], x: float, y: float) -> list[Upright]:
    """The line that stands just left of a spot: outline, base and tracers of a wire, which lie on each other."""
    near = [piece for piece in pieces if 0 < x - piece.x < BESIDE and piece.top - 1 < y < piece.foot + 1]
    best = max((piece.x for piece in near), default=0.0)
    return [piece for piece in near if best - piece.x < 0.3]


def colours_of(line: Iterable[Upright]) -> tuple[str, ...]:
    """The colours of a line, the widest stroke first."""
    return tuple(dict.fromkeys(colour for _, colour in sorted((-up.stroke.width, up.stroke.colour) for up in line)))


# -- the paper ---------------------------------------------------------------------------------------------------------


def paper_strokes(file: Path, page: int) -> tuple[Stroke, ...]:
    """The strokes of straight pieces on a page (from 1) of a PDF, in points."""
    # Neither fitted to some paper nor put in its middle: in the points in which the words are given.
    wanted = ["-noshrink", "-nocenter", "-f", str(page), "-l", str(page)]
    run = subprocess.run(["pdftocairo", "-svg", *wanted, file, "-"], capture_output=True, check=True)
    tree = etree.fromstring(run.stdout, etree.XMLParser(huge_tree=True))
    found = []
    for path in tree.iterfind("{*}g//{*}path"):
        style = dict(part.split(":", 1) for part in path.get("style", "").strip(" ;").split(";") if ":" in part)
        colour = _RGB.match(style.get("stroke", "none"))
        matrix = _MATRIX.match(path.get("transform", ""))
        points = straight(path.get("d", ""))
        if colour is None or matrix is None or not _is_line(points):
            continue
        a, b, c, d, e, f = map(float, matrix[1].split(","))
        placed = tuple((a * x + c * y + e, b * x + d * y + f) for x, y in points)
        rgb = "#" + "".join(f"{round(float(part.rstrip('%')) * 2.55):02x}" for part in colour[1].split(","))
        found.append(Stroke(placed, float(style["stroke-width"]) * a, rgb, "stroke-dasharray" in style))
    return tuple(found)


def paper_labels(words: Sequence[Word], strokes: Sequence[Stroke]) -> list[Label]:
    """The labels of wires on a printed sheet: words just right of a wire's line, with those that follow on their line and
    those that begin below the first. A wire with nothing beside it has a label that says nothing."""
    wires = uprights(_wires(strokes))
    by_line = sorted(words, key=lambda word: (word.foot, word.x))
    found = []
    taken: set[Word] = set()
    told: set[tuple[Spot, ...]] = set()
    for word in by_line:
        beside = line_beside(wires, word.x, word.middle[1]) if word not in taken else []
        if not beside:
            continue
        told.update(piece.stroke.points for piece in beside)
        lines = [_line_from(word, by_line)]
        while below := next(
            (w for w in by_line if abs(w.x - word.x) < 0.7 and 5 < w.foot - lines[-1][0].foot < 9), None
        ):
            lines.append(_line_from(below, by_line))
        block = [w for line in lines for w in line]
        taken.update(block)
        found.append(Label(word.text, "".join(w.text for w in block), colours_of(beside)))
    mute = {piece.stroke.points: [p for p in wires if p.stroke.points == piece.stroke.points] for piece in wires}
    return found + [Label("", "", colours_of(line)) for points, line in mute.items() if points not in told]


def _wires(strokes: Iterable[Stroke]) -> list[Stroke]:
    """The strokes that are wires: a core on a wider outline, and the tracers on it."""
    lying: defaultdict[tuple[Spot, ...], list[Stroke]] = defaultdict(list)
    for stroke in strokes:
        lying[stroke.points].append(stroke)
    found = []
    for own in lying.values():
        widths = sorted({stroke.width for stroke in own}, reverse=True)
        if len(widths) > 1 and 1.3 < widths[0] / widths[1] < 1.7:
            found += own
    return found


def _line_from(word: Word, words: Sequence[Word]) -> list[Word]:
    line = [word]
    while after := next((w for w in words if abs(w.foot - word.foot) < 0.7 and 0.5 < w.x - line[-1].end < 4.6), None):
        line.append(after)
    return line


# -- both --------------------------------------------------------------------------------------------------------------


class Placed(NamedTuple):
    """How a drawing stands on its page: so many points to a unit of it, from this corner."""

    scale: float
    x: float
    y: float

    def spot(self, spot: Spot) -> Spot:
        return self.x + spot[0] * self.scale, self.y + spot[1] * self.scale


def placed(drawing: Drawing, strokes: Sequence[Stroke]) -> Placed:
    """The place on paper, by the outermost strokes of either."""
    here = [spot for stroke in drawing.strokes for spot in stroke.points]
    there = [spot for stroke in strokes for spot in stroke.points]
    (left, top), (right, _) = (min(x for x, _ in here), min(y for _, y in here)), max(here)
    scale = (max(x for x, _ in there) - min(x for x, _ in there)) / (right - left)
    return Placed(scale, min(x for x, _ in there) - left * scale, min(y for _, y in there) - top * scale)


def drawing_faults(drawing: Drawing, words: Sequence[Word], strokes: Sequence[Stroke]) -> list[str]:
    """What a drawing on paper has otherwise than that of the page, stroke by stroke and word by word."""
    at = placed(drawing, strokes)
    low, high = ([edge(s[axis] for stroke in strokes for s in stroke.points) for axis in (0, 1)] for edge in (min, max))
    words = [w for w in words if low[0] < w.middle[0] < high[0] and low[1] < w.middle[1] < high[1]]
    return [*_stroke_faults(drawing, strokes, at), *_word_faults(drawing, words, at)]


def _stroke_faults(drawing: Drawing, strokes: Sequence[Stroke], at: Placed) -> list[str]:
    left: defaultdict[tuple[str, int, bool], list[Stroke]] = defaultdict(list)
    for stroke in strokes:
        left[stroke.colour, len(stroke.points), stroke.dashed].append(stroke)
    faults = []
    for stroke in drawing.strokes:
        wanted = [at.spot(spot) for spot in stroke.points]
        same = left[stroke.colour, len(stroke.points), stroke.dashed]
        found = next((other for other in same if _lies(other, wanted, stroke.width * at.scale)), None)
        if found is None:
            faults.append(f"no {stroke.colour} line on paper at {_words(wanted[0])}")
        else:
            same.remove(found)
    return faults + [
        f"a {o.colour} line on paper only at {_words(o.points[0])}" for same in left.values() for o in same
    ]


def _lies(stroke: Stroke, wanted: Sequence[Spot], width: float) -> bool:
    return abs(stroke.width - width) < 0.06 and all(
        abs(x - a) < 0.1 and abs(y - b) < 0.1 for (x, y), (a, b) in zip(stroke.points, wanted, strict=True)
    )


def _word_faults(drawing: Drawing, words: Sequence[Word], at: Placed) -> list[str]:
    left = list(words)
    faults = []
    for text in drawing.texts:
        found = _found(text, left, at)
        if found:
            for word in found:
                left.remove(word)
        else:
            faults.append(f"no {text.text} on paper at {_words(at.spot((text.x, text.y)))}")
    return faults + [f"{word.text} on paper only at {_words(word.middle)}" for word in left]


def _found(text: Written, words: Sequence[Word], at: Placed) -> list[Word]:
    """The words on paper that are a line of text of the page."""
    x, y = at.spot((text.x, text.y - (0 if text.turned else _MIDDLE * text.size)))
    wanted = text.text.split()
    for word in words:
        if word.text != wanted[0] or (not text.turned and abs(word.middle[1] - y) > 0.4):
            continue
        if text.turned:
            if abs(word.foot - y) < 1.5 * text.size and abs(word.end - x) < 1.5 * text.size:
                return [word]
            continue
        line = [word]
        for one in wanted[1:]:
            after = [w for w in words if w.text == one and abs(w.foot - word.foot) < 0.3 and w.x > line[-1].end]
            if not after:
                break
            line.append(min(after))
        edge = {"start": word.x, "middle": (word.x + line[-1].end) / 2, "end": line[-1].end}[text.anchor]
        if len(line) == len(wanted) and abs(edge - x) < 0.4:
            return line
    return []


def _words(spot: Spot) -> str:
    return f"{spot[0]:.0f}, {spot[1]:.0f}"
