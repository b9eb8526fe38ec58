"""What a drawing is made of: strokes, rectangles, discs, arcs and words, in points, y downwards."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple
from xml.sax.saxutils import escape, quoteattr

from compiler.fonts import printable
from renderers.text import clean

INK = "#111111"

Spot = tuple[float, float]


class Stroke(NamedTuple):
    """A line through points; `closed` makes it an outline that can be filled."""

    points: tuple[Spot, ...]
    width: float = 0.8
    dash: str = ""
    fill: str = "none"
    closed: bool = False
    colour: str = INK


class Rect(NamedTuple):
    """An upright rectangle."""

    x: float
    y: float
    w: float
    h: float
    width: float = 0.8
    fill: str = "none"
    dash: str = ""
    colour: str = INK


class Disc(NamedTuple):
    """A circle."""

    x: float
    y: float
    r: float
    width: float = 0.8
    fill: str = "none"
    colour: str = INK


class Arc(NamedTuple):
    """Part of a circle from angle `start` to `end` (degrees, clockwise on paper, 0 to the right, less than 360)."""

    x: float
    y: float
    r: float
    start: float
    end: float
    width: float = 0.8
    fill: str = "none"


class Blade(NamedTuple):
    """A line that moves with its contact: where it lies as drawn, and where it lies in the other position."""

    points: tuple[Spot, ...]
    other: tuple[Spot, ...]
    width: float = 1.0
    dash: str = ""


class Words(NamedTuple):
    """A line of text; `x`, `y` its start, middle or end on the baseline. `turned`: reads upwards, from the right;
    `bar`: over the bar that stands for direct current."""

    x: float
    y: float
    text: str
    size: float
    bold: bool = False
    anchor: str = "start"
    turned: bool = False
    colour: str = INK
    bar: bool = False


Shape = Stroke | Blade | Rect | Disc | Arc | Words


def line(*points: Spot, width: float = 0.8, dash: str = "") -> Stroke:
    """A plain line."""
    return Stroke(points, width, dash)


def moved(shapes: Iterable[Shape], dx: float, dy: float) -> list[Shape]:
    """The shapes elsewhere."""
    done: list[Shape] = []
    for s in shapes:
        if isinstance(s, (Stroke, Blade)):
            done.append(_turned(s, lambda spot: (spot[0] + dx, spot[1] + dy)))
        else:
            done.append(s._replace(x=s.x + dx, y=s.y + dy))
    return done


def _turned(shape: Stroke | Blade, how: Callable[[Spot], Spot]) -> Stroke | Blade:
    """A line with each of its points elsewhere."""
    points = tuple(map(how, shape.points))
    if isinstance(shape, Blade):
        return shape._replace(points=points, other=tuple(map(how, shape.other)))
    return shape._replace(points=points)


def upended(shapes: Sequence[Shape], height: float) -> list[Shape]:
    """The shapes upside down within a height; text stays upright, and lines that stand below each other in order."""
    done: list[Shape] = []
    lines: dict[tuple[float, str], list[float]] = {}
    for s in shapes:
        if isinstance(s, Words):
            lines.setdefault((s.x, s.anchor), []).append(height - s.y + s.size * 0.7 - (2.5 if s.bar else 0.0))
    for found in lines.values():
        found.sort(reverse=True)
    for s in shapes:
        match s:
            case Stroke() | Blade():
                done.append(_turned(s, lambda spot: (spot[0], height - spot[1])))
            case Rect():
                done.append(s._replace(y=height - s.y - s.h))
            case Disc():
                done.append(s._replace(y=height - s.y))
            case Arc():
                done.append(s._replace(y=height - s.y, start=-s.end, end=-s.start))
            case Words():
                done.append(s._replace(y=lines[s.x, s.anchor].pop()))
    return done


def mirrored(shapes: Iterable[Shape]) -> list[Shape]:
    """The shapes left for right about x = 0; text stays readable."""
    done: list[Shape] = []
    for s in shapes:
        match s:
            case Stroke() | Blade():
                done.append(_turned(s, lambda spot: (-spot[0], spot[1])))
            case Rect():
                done.append(s._replace(x=-s.x - s.w))
            case Disc():
                done.append(s._replace(x=-s.x))
            case Arc():
                done.append(s._replace(x=-s.x, start=180 - s.end, end=180 - s.start))
            case Words():
                anchor = {"start": "end", "end": "start"}.get(s.anchor, s.anchor)
                done.append(s._replace(x=-s.x, anchor=anchor))
    return done


def number(value: float) -> str:
    """A coordinate as it is written: two decimals at most, no trailing noughts, never `-0`."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def path(points: Iterable[Spot], closed: bool = False) -> str:
    """Path data of a line through points."""
    n = number
    data = "".join(f"{'L' if i else 'M'}{n(x)} {n(y)}" for i, (x, y) in enumerate(points))
    return data + "Z" if closed else data


def svg(shape: Shape) -> str:
    """One SVG element. All text is escaped; nothing else comes from a source file."""
    n = number
    match shape:
        case Words(x, y, text, size, bold, anchor, turned, colour, bar):
            extra = ' font-weight="700"' if bold else ""
            if anchor != "start":
                extra += f' text-anchor="{anchor}"'
            if turned:
                extra += f' transform="rotate(-90 {n(x)} {n(y)})"'
            if colour != INK:
                extra += f' fill="{colour}"'
            line = f'<path d="M{n(x - 3.4)} {n(y + 2.2)}L{n(x + 3.4)} {n(y + 2.2)}" stroke="{INK}" stroke-width="0.7"/>'
            return f'<text x="{n(x)}" y="{n(y)}" font-size="{n(size)}"{extra}>{escape(shown(text))}</text>{line if bar else ""}'
        case Stroke(points, width, dash, fill, closed, colour):
            return f'<path d="{path(points, closed)}"{_pen(width, fill, dash, colour)}/>'
        case Blade(points, other, width, dash):
            return f'<path d="{path(points)}"{_pen(width, "none", dash, INK)} data-other="{path(other)}"/>'
        case Rect(x, y, w, h, width, fill, dash, colour):
            pen = _pen(width, fill, dash, colour)
            return f'<rect x="{n(x)}" y="{n(y)}" width="{n(w)}" height="{n(h)}"{pen}/>'
        case Disc(x, y, r, width, fill, colour):
            return f'<circle cx="{n(x)}" cy="{n(y)}" r="{n(r)}"{_pen(width, fill, "", colour)}/>'
        case Arc(x, y, r, start, end, width, fill):
            (x0, y0), (x1, y1) = on_circle(x, y, r, start), on_circle(x, y, r, end)
            large = int(end - start > 180)
            data = f"M{n(x0)} {n(y0)}A{n(r)} {n(r)} 0 {large} 1 {n(x1)} {n(y1)}"
            return f'<path d="{data}"{_pen(width, fill, "", INK)}/>'


def shown(text: str) -> str:
    """Text as a drawing may hold it: characters that no font shows, that turn the line about, or that XML forbids become
    the font's stand-in."""
    return printable(clean(text))


def on_circle(x: float, y: float, r: float, degrees: float) -> Spot:
    """A point on a circle."""
    angle = math.radians(degrees)
    return (x + r * math.cos(angle), y + r * math.sin(angle))


def _pen(width: float, fill: str, dash: str, colour: str) -> str:
    # The drawing's root sets stroke and fill for what is most common: black lines 0.8 wide, nothing filled.
    text = ""
    if width != 0.8:
        text += f' stroke-width="{number(width)}"' if width else ' stroke="none"'
    if fill != "none":
        text += f" fill={quoteattr(fill)}"
    if dash:
        text += f' stroke-dasharray="{dash}"'
    if colour != INK and width:
        text += f" stroke={quoteattr(colour)}"
    return text
