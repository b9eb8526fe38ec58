"""What a graphical symbol is: ink around an axis, with pins above and below."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from compiler.model.items import Part
from renderers.sheets.ink import Shape, Spot, line, mirrored, upended

HIGH = 24.0  # of a two-pin symbol, lead to lead
PLAIN = 0.8


class Glyph(NamedTuple):
    """A symbol. x = 0 is its axis, y = 0 its upper edge.

    left, right  how far it reaches on either side of the axis
    top, bottom  pins: terminal and offset from the axis (a multiple of 6)
    link         where a mechanical link (dashed) touches it, or None
    swung        where it touches it in a contact's other position, or None for what does not move
    parts        numbers of the device's parts that it stands for; of a changeover contact the one closed at rest first
    """

    left: float
    right: float
    height: float
    top: tuple[tuple[str, int], ...]
    bottom: tuple[tuple[str, int], ...]
    ink: tuple[Shape, ...]
    link: Spot | None = None
    swung: Spot | None = None
    parts: tuple[int, ...] = ()

    def flipped(self) -> Glyph:
        """Upside down, text upright."""
        link = (self.link[0], self.height - self.link[1]) if self.link else None
        swung = (self.swung[0], self.height - self.swung[1]) if self.swung else None
        ink = tuple(upended(self.ink, self.height))
        return self._replace(top=self.bottom, bottom=self.top, ink=ink, link=link, swung=swung)

    def mirrored(self) -> Glyph:
        """Left for right, text readable."""
        return Glyph(
            self.right,
            self.left,
            self.height,
            tuple((name, -x) for name, x in self.top[::-1]),
            tuple((name, -x) for name, x in self.bottom[::-1]),
            tuple(mirrored(self.ink)),
            (-self.link[0], self.link[1]) if self.link else None,
            (-self.swung[0], self.swung[1]) if self.swung else None,
            self.parts,
        )


class Style(NamedTuple):
    """What a symbol must heed: distance between pins on one side (a multiple of 12), and whether a contact is closed
    in the state that is drawn; `words` are positions or other short text; `below`: terminals wired on the lower side,
    for symbols whose terminals have no side of their own."""

    pitch: int = 24
    closed: bool = False
    words: str = ""
    below: tuple[str, ...] = ()


def straight(part: Part, half: float, ink: Iterable[Shape], link: Spot | None = None) -> Glyph:
    """A symbol with its first terminal above and its second below."""
    a, b = part.terminals[0], part.terminals[-1]
    return Glyph(half, half, HIGH, ((a, 0),), ((b, 0),), tuple(ink), link)


def fan(terminals: tuple[str, ...], pitch: int) -> tuple[tuple[str, int], ...]:
    """Pins side by side, `pitch` apart, even about the axis (rounded to the grid)."""
    start = -(len(terminals) - 1) * pitch // 2 // 6 * 6
    return tuple((terminal, start + index * pitch) for index, terminal in enumerate(terminals))


def lead(y0: float, y1: float, x: float = 0.0) -> Shape:
    """A plain upright lead."""
    return line((x, y0), (x, y1))


def cross(x: float, y: float, r: float) -> tuple[Shape, Shape]:
    """The slanted cross in a lamp's circle."""
    d = r * 0.7071
    return (line((x - d, y - d), (x + d, y + d)), line((x - d, y + d), (x + d, y - d)))


def arrow_head(tip: Spot, back: Spot, size: float = 3.2, fill: str = "#111111") -> Shape:
    """A filled arrow head at `tip`, pointing away from `back`."""
    from renderers.sheets.ink import Stroke

    dx, dy = tip[0] - back[0], tip[1] - back[1]
    length = (dx * dx + dy * dy) ** 0.5 or 1.0
    ux, uy = dx / length, dy / length
    base = (tip[0] - ux * size, tip[1] - uy * size)
    wing = size * 0.42
    points = (tip, (base[0] - uy * wing, base[1] + ux * wing), (base[0] + uy * wing, base[1] - ux * wing))
    return Stroke(points, 0.4, "", fill, True)
