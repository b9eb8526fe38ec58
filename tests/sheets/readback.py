"""Reading a sheet back: from the geometry and the words of a drawing to the wires that it shows.

Nothing here looks at ids, classes or data attributes of the SVG. What is used is what a technician sees: a thick line, the
label that stands beside it, what its ends touch (a circle on a box's edge, a connector's cell, a joint, a bus bar, the
ground mark, an arrow head), and the names that stand at these.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import NamedTuple
from xml.etree import ElementTree

from renderers.sheets.labels import SMALL, TEXT, width

NS = "{http://www.w3.org/2000/svg}"
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
DARK, WHITE, GREY = "#111111", "#FFFFFF", "#E4E8EC"
NEAR = 0.6
MATES = (12.9, 18.5)  # from one half of a cavity to the other: close, or with a pin in its socket between them


class Words(NamedTuple):
    """A line of text from x0 to x1 on a baseline."""

    x0: float
    x1: float
    y: float
    text: str
    size: float
    bold: bool


class Area(NamedTuple):
    """A closed shape by the rectangle around it, with its fill and number of corners (0: a circle)."""

    x0: float
    y0: float
    x1: float
    y1: float
    fill: str
    corners: int
    dashed: bool

    def has(self, x: float, y: float, by: float = NEAR) -> bool:
        return self.x0 - by <= x <= self.x1 + by and self.y0 - by <= y <= self.y1 + by


class Seen(NamedTuple):
    """One end of a wire: the terminal it touches, or for an arrow the page and the terminal it names."""

    terminal: str
    page: str = ""


@dataclass
class Found:
    """A wire as seen on a page: the words of its label, and its two ends."""

    label: tuple[str, ...]
    ends: tuple[Seen, Seen]


@dataclass
class Page:
    """What is on the paper."""

    wires: list[tuple[tuple[float, float], ...]] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)
    areas: list[Area] = field(default_factory=list)


class Unreadable(ValueError):
    """Something on the drawing that does not say what it is."""


def read_page(svg: str) -> tuple[list[Found], list[str]]:
    """Every wire on a page, and what could not be read."""
    page = _page(svg)
    found: list[Found] = []
    faults: list[str] = []
    for points in page.wires:
        try:
            found.append(_wire(page, points))
        except Unreadable as fault:
            faults.append(str(fault))
    return found, faults


def _page(svg: str) -> Page:
    page = Page()
    for element in ElementTree.fromstring(svg).iter():
        kind = element.tag.removeprefix(NS)
        fill = element.get("fill", "none")
        if kind == "text":
            page.words.append(_words(element))
        elif kind == "circle":
            x, y, r = (float(element.get(n, "0")) for n in ("cx", "cy", "r"))
            page.areas.append(Area(x - r, y - r, x + r, y + r, fill, 0, False))
        elif kind == "rect":
            x, y, w, h = (float(element.get(n, "0")) for n in ("x", "y", "width", "height"))
            page.areas.append(Area(x, y, x + w, y + h, fill, 4, "stroke-dasharray" in element.attrib))
        elif kind == "path":
            data = element.get("d", "")
            numbers = [float(n) for n in NUMBER.findall(data)]
            points = tuple(zip(numbers[::2], numbers[1::2], strict=False))
            if element.get("stroke-width") == "3":
                page.wires.append(points)
            elif data.endswith("Z"):
                xs, ys = [p[0] for p in points], [p[1] for p in points]
                page.areas.append(Area(min(xs), min(ys), max(xs), max(ys), fill, len(points), False))
    return page


def _words(element: ElementTree.Element) -> Words:
    x, y, size = (float(element.get(n, "0")) for n in ("x", "y", "font-size"))
    bold = element.get("font-weight") == "700"
    text = element.text or ""
    wide = width(text, size, bold)
    left = x - {"middle": wide / 2, "end": wide}.get(element.get("text-anchor", ""), 0.0)
    return Words(left, left + wide, y, text, size, bold)


def _wire(page: Page, points: tuple[tuple[float, float], ...]) -> Found:
    return Found(_label(page, points), (_end(page, points[0]), _end(page, points[-1])))


def _label(page: Page, points: tuple[tuple[float, float], ...]) -> tuple[str, ...]:
    """The words that stand to the right of an upright stretch of a wire, nearest to its upper end."""
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        if x0 != x1:
            continue
        top, low = min(y0, y1), max(y0, y1)
        names = [
            w for w in page.words if w.bold and _is(w.size, SMALL) and 2.5 < w.x0 - x0 < 4 and top < w.y < low + 12
        ]
        if names:
            return tuple(_below(page, min(names, key=lambda w: w.y)))
    raise Unreadable(f"no label beside the wire at {points[0]}")


def _below(page: Page, first: Words) -> Iterator[str]:
    """The words of a label from its first on: its lines stand below each other, a long id goes on in bold."""
    name = first.text
    line = first
    done = False
    while True:
        right = line
        for word in sorted((w for w in page.words if w.y == line.y and not w.bold), key=lambda w: w.x0):
            if 1 < word.x0 - right.x1 < 5:
                if not done:
                    yield name
                    done = True
                yield word.text
                right = word
        below = [w for w in page.words if abs(w.x0 - first.x0) < 0.05 and 7 < w.y - line.y < 8]
        if len(below) != 1 or (below[0].bold and done):
            break
        line = below[0]
        if line.bold:
            name += line.text
        else:
            if not done:
                yield name
                done = True
            yield line.text
    if not done:
        yield name


def _one(found: list[Words], what: str, x: float, y: float) -> Words:
    if len(found) != 1:
        raise Unreadable(
            f"{len(found)} lines of text, not one, could be {what} at ({x:g}, {y:g}): {[w.text for w in found]}"
        )
    return found[0]


def _is(a: float, b: float) -> bool:
    return abs(a - b) < 0.05


def _end(page: Page, at: tuple[float, float]) -> Seen:
    """What a wire's end touches."""
    x, y = at
    touched = [a for a in page.areas if a.has(x, y)]
    readers: tuple[Callable[[Page, Area, float, float], Seen | None], ...] = (_cell, _circle, _joint, _bar, _arrow)
    for reader in readers:
        for area in touched:
            seen = reader(page, area, x, y)
            if seen is not None:
                return seen
    marks = [w for w in page.words if w.text == "?" and abs((w.x0 + w.x1) / 2 - x) < 4 and abs(w.y - y) < 14]
    if marks:
        return Seen("?")
    raise Unreadable(f"a wire ends at ({x}, {y}) and touches nothing with a name")


# -- cells of connectors -----------------------------------------------------------------------------------------------
def _is_cell(area: Area) -> bool:
    return area.corners == 4 and _is(area.y1 - area.y0, 10.5) and area.fill in (WHITE, GREY)


def _cell(page: Page, area: Area, x: float, y: float) -> Seen | None:
    if not _is_cell(area) or min(abs(y - area.y0), abs(y - area.y1)) > NEAR:
        return None
    inside = [w for w in page.words if area.has((w.x0 + w.x1) / 2, w.y - 2) and not w.bold]
    cavity = _one(inside, "the cavity", x, y).text
    cells = [a for a in page.areas if _is_cell(a)]
    partner = [a for a in cells if _is(a.x0, area.x0) and any(_is(abs(a.y0 - area.y0), off) for off in MATES)]
    left, right = _row(cells, area)
    if not partner:
        # The plug of a component: its id stands to the left, on the line of the cavity names.
        names = [w for w in page.words if w.bold and _is(w.y, area.y1 - 3) and w.x1 < area.x0]
        return Seen(f"{max(names, key=lambda w: w.x1).text}.{cavity}")
    middle = (min(area.y0, partner[0].y0) + max(area.y1, partner[0].y1)) / 2
    beside = [w for w in page.words if w.bold and _is(left - w.x1, 2.5) and abs(w.y - middle) < 4]
    name = _one(beside, "the connector", left, middle)
    half = _one([w for w in page.words if _is(w.x0 - right, 4) and _is(w.y, area.y1 - 3)], "the half", right, area.y1)
    return Seen(f"{name.text}.{cavity} {half.text}")


def _row(cells: list[Area], area: Area) -> tuple[float, float]:
    """Left and right end of the row of cells that a cell stands in."""
    row = [a for a in cells if _is(a.y0, area.y0)]
    left, right = area.x0, area.x1
    while before := [a.x0 for a in row if _is(a.x1, left)]:
        left = min(before)
    while after := [a.x1 for a in row if _is(a.x0, right)]:
        right = max(after)
    return left, right


# -- terminals that are wired directly, grounds, fuses on a bus ----------------------------------------------------------
def _circle(page: Page, area: Area, x: float, y: float) -> Seen | None:
    """An open circle, or a white bar where several wires end at one terminal."""
    if area.fill != WHITE or not _is(area.y1 - area.y0, 3.8) or not _is((area.y0 + area.y1) / 2, y):
        return None
    first = area.x0 + 1.9
    bodies = [
        a
        for a in page.areas
        if a.corners == 4
        and a.fill == WHITE
        and a.y1 - a.y0 > 12
        and a.x0 < x < a.x1
        and (_is(a.y0, y) or _is(a.y1, y))
    ]
    for body in bodies:
        baseline = y + 8.2 if _is(body.y0, y) else y - 3.2
        names = [w.text for w in page.words if _is(w.x0, first + 2.8) and _is(w.y, baseline)]
        if len(names) == 1:
            return Seen(f"{_beside(page, body.x1, body.y0)}.{names[0]}")
    fuse = _fuse(page, first, y)
    return fuse or _ground(page, area, y)


def _beside(page: Page, right: float, top: float) -> str:
    """The bold name at the upper right corner of a box."""
    names = [w for w in page.words if w.bold and _is(w.size, TEXT) and 2 < w.x0 - right < 7 and 0 < w.y - top < 12]
    if len(names) != 1:
        raise Unreadable(f"{len(names)} names beside the box at ({right}, {top})")
    return names[0].text


def _fuse(page: Page, x: float, y: float) -> Seen | None:
    """A fuse under a bus bar: its name stands to the right of its symbol. Its upper terminal is the bus."""
    names = [w for w in page.words if w.bold and _is(w.size, SMALL) and 6 < w.x0 - x < 11 and 10 < y - w.y < 60]
    bars = [a for a in page.areas if _is_bus(a) and a.x0 < x < a.x1 and 10 < y - a.y0 < 70]
    if not names or not bars:
        return None
    return Seen(f"{max(names, key=lambda w: w.y).text}.(load side)")


def _ground(page: Page, area: Area, y: float) -> Seen | None:
    middle = (area.x0 + area.x1) / 2
    names = [
        w
        for w in page.words
        if w.bold and _is(w.size, TEXT) and abs((w.x0 + w.x1) / 2 - middle) < 8 and 14 < w.y - y < 26
    ]
    return Seen(names[0].text) if len(names) == 1 else None


# -- joints, buses, arrows ---------------------------------------------------------------------------------------------
def _joint(page: Page, area: Area, x: float, y: float) -> Seen | None:
    high = area.y1 - area.y0
    if area.fill != DARK or not (_is(high, 5.2) or _is(high, 4.4)) or area.corners not in (0, 4):
        return None
    return Seen(_right_of(page, area.x1, y))


def _right_of(page: Page, right: float, y: float) -> str:
    names = [w for w in page.words if w.bold and _is(w.size, TEXT) and w.x0 > right and 0 < w.y - y < 7]
    if not names:
        raise Unreadable(f"no name right of ({right}, {y})")
    return min(names, key=lambda w: w.x0).text


def _is_bus(area: Area) -> bool:
    return area.corners == 4 and area.fill == DARK and _is(area.y1 - area.y0, 3)


def _bar(page: Page, area: Area, x: float, y: float) -> Seen | None:
    if not _is_bus(area):
        return None
    return Seen(_right_of(page, area.x1, (area.y0 + area.y1) / 2))


def _arrow(page: Page, area: Area, x: float, y: float) -> Seen | None:
    if area.corners != 3 or area.fill != DARK or not _is(area.y1 - area.y0, 7):
        return None
    tip = area.y1 if _is(area.y0, y) else area.y0
    lines = [w for w in page.words if abs((w.x0 + w.x1) / 2 - x) < 26 and abs(w.y - tip) < 24]
    heads = [w for w in lines if w.bold and w.text.startswith("sheet ")]
    if not heads:
        raise Unreadable(f"an arrow at ({x}, {y}) names no sheet")
    head = min(heads, key=lambda w: abs((w.x0 + w.x1) / 2 - x) + abs(w.y - tip))
    mid = (head.x0 + head.x1) / 2
    target = _one([w for w in lines if _is((w.x0 + w.x1) / 2, mid) and 5 < w.y - head.y < 10], "the end", x, y)
    return Seen(target.text, head.text.removeprefix("sheet "))


def twisted_pairs(svg: str) -> set[frozenset[str]]:
    """Wires, by the first words of their labels, that a figure of eight goes round: half a circle about each of two,
    joined by lines that cross between them."""
    page = _page(svg)
    arcs: dict[tuple[float, float], tuple[float, float]] = {}  # either end of half a circle -> its middle
    lines: list[tuple[tuple[float, float], ...]] = []
    for element in ElementTree.fromstring(svg).iter(f"{NS}path"):
        data = element.get("d", "")
        n = [float(number) for number in NUMBER.findall(data)]
        if "A" in data and _is((n[0] - n[7]) ** 2 + (n[1] - n[8]) ** 2, (2 * n[2]) ** 2):
            arcs[n[0], n[1]] = arcs[n[7], n[8]] = ((n[0] + n[7]) / 2, (n[1] + n[8]) / 2)
        elif len(n) == 4:
            lines.append(((n[0], n[1]), (n[2], n[3])))
    joined = [frozenset((arcs[a], arcs[b])) for a, b in lines if a in arcs and b in arcs]
    return {
        frozenset(_label(page, _through(page, middle))[0] for middle in pair)
        for pair in joined
        if len(pair) == 2 and joined.count(pair) == 2
    }


def _through(page: Page, at: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    """The wire that runs through a place."""
    x, y = at
    for points in page.wires:
        for (x0, y0), (x1, y1) in itertools.pairwise(points):
            if min(x0, x1) - 0.1 <= x <= max(x0, x1) + 0.1 and min(y0, y1) - 0.1 <= y <= max(y0, y1) + 0.1:
                return points
    raise Unreadable(f"no wire at {at}")


def all_words(svg: str) -> Iterator[str]:
    """The words of a drawing."""
    for words in _page(svg).words:
        yield words.text
