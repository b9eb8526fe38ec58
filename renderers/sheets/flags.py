"""What a meter reads, as small flags at the test points of a drawn sheet, and tags that say what a component does.

Each stands where there is room: a reading in its connector's cell or beside the wire that ends at the point, a tag at the
component's name. What finds no room is left over, in words, for the key of the sheet.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise
from xml.etree.ElementTree import Element

from renderers.sheets.ink import Rect, Shape, Spot, Words, line
from renderers.sheets.inline import ROW
from renderers.sheets.labels import LEADING, SMALL, width, wrap
from renderers.sheets.measure import Box, Text, Wire, outline, texts_in
from renderers.sheets.reading import LIVE_V, Life, StateReading
from renderers.sheets.room import Room

METER = "#0B4F8A"  # readings: dark enough to print well
TAG = "#FFE9AD"  # ground of a tag
HIGH = 8.6  # of a flag
_NIB = 2.4  # from the edge of a wire to the flag beside it
_HALF_WIRE = 1.8
_FURTHEST = 66.0  # along a wire, from its end to its flag
_PAD = 1.8
_LIMITS = (96.0, 84.0, 60.0)  # widths of tags, as they are tried


def volts_words(volts: float) -> str:
    """A reading as it is printed: one decimal, two below a volt."""
    if abs(volts) >= 1:
        return f"{volts:.1f} V"
    return f"{volts if abs(volts) >= 0.005 else 0.0:.2f} V"


def _spots(run: tuple[Spot, ...], away: float, wide: float) -> Iterator[tuple[Box, tuple[Spot, Spot]]]:
    """Where a flag can stand on either side of a wire, `away` from the start of each of its pieces; with its nib."""
    near = _HALF_WIRE + _NIB
    for (x, y), (x1, y1) in pairwise(run):
        if x == x1 and away + HIGH <= abs(y1 - y):
            top = y + away if y1 > y else y - away - HIGH
            middle = top + HIGH / 2
            for left, side in ((x - near - wide, -1), (x + near, 1)):
                nib = ((x + side * _HALF_WIRE, middle), (x + side * near, middle))
                yield Box(left, top, left + wide, top + HIGH), nib
        elif y == y1 and away + wide <= abs(x1 - x):
            left = x + away if x1 > x else x - away - wide
            middle = left + wide / 2
            for top, side in ((y - near - HIGH, -1), (y + near, 1)):
                nib = ((middle, y + side * _HALF_WIRE), (middle, y + side * near))
                yield Box(left, top, left + wide, top + HIGH), nib


class Flags:
    """The flags and tags of a sheet. `ink` is what is to be drawn; `left_over` what found no room, in words."""

    def __init__(self, root: Element, wires: Sequence[Wire], reading: StateReading, room: Room) -> None:
        self.wires = wires
        self.reading = reading
        self.room = room
        self.ink: list[Shape] = []
        self.left_over: list[str] = []
        groups = [g for g in root.iter() if g.tag.endswith("}g")]
        for group in groups:
            if group.get("class") == "terminal":
                self._flag(group)
        # Halves of one cavity that read the same need saying once.
        halves = Counter(self.left_over)
        self.left_over = [f"{words} on both halves" if count > 1 else words for words, count in halves.items()]
        for group in groups:
            if group.get("class") in ("device", "bus"):
                self._tags(group)

    # -- readings --------------------------------------------------------------------------------------------------
    def _flag(self, group: Element) -> None:
        name, half = group.get("data-terminal", ""), group.get("data-half", "")
        volts, box = self.reading.volts.get((name, half)), outline(group)
        if volts is None or box is None:
            return
        runs = self._runs(box)
        lives = {self.reading.wires.get(wire.id, Life.DEAD) for wire, _ in runs}
        if abs(volts) < LIVE_V and lives <= {Life.DEAD}:
            return
        words = volts_words(volts)
        if not (self._in_cell(group, box, words) or self._beside(box, [run for _, run in runs], words)):
            self.left_over.append(f"{name} {words}")

    def _runs(self, box: Box) -> list[tuple[Wire, tuple[Spot, ...]]]:
        """The wires that end at a terminal, each with its end and the first corners from there."""
        found = []
        for wire in self.wires:
            for points in (wire.points[:3], wire.points[:-4:-1]):
                x, y = points[0]
                if box.x0 - 2 <= x <= box.x1 + 2 and box.y0 - 2 <= y <= box.y1 + 2:
                    found.append((wire, points))
        return found

    def _in_cell(self, group: Element, box: Box, words: str) -> bool:
        """Print a reading in a connector's cell, right of the cavity's name."""
        if abs(box.y1 - box.y0 - ROW) > 1.5:
            return False
        for name in texts_in(group):
            start, wide = name.box.x1 + 3.0, width(words, SMALL, True)
            if start + wide + 2.0 <= box.x1:
                self.ink.append(Words(start, box.y0 + 0.4 + ROW - 3, words, SMALL, True, colour=METER))
                return True
        return False

    def _beside(self, box: Box, runs: Sequence[tuple[Spot, ...]], words: str) -> bool:
        """Print a reading in a flag beside a wire near its end, or beside a terminal without wires."""
        wide = width(words, SMALL, True) + 2 * _PAD
        for away in range(0, int(_FURTHEST), 3):
            for run in runs:
                for flag, nib in _spots(run, away + 1.5, wide):
                    if self._put(flag, words, nib):
                        return True
        if not runs:
            x, y = (box.x0 + box.x1 - wide) / 2, (box.y0 + box.y1 - HIGH) / 2
            for left, top in ((x, box.y0 - 2 - HIGH), (x, box.y1 + 2), (box.x0 - 2 - wide, y), (box.x1 + 2, y)):
                if self._put(Box(left, top, left + wide, top + HIGH), words, ()):
                    return True
        return False

    def _put(self, box: Box, words: str, nib: tuple[Spot, ...]) -> bool:
        if not self.room.free(box):
            return False
        self.room.take(box)
        self.ink.append(Rect(box.x0, box.y0, box.x1 - box.x0, HIGH, 0.6, "#FFFFFF", "", METER))
        if nib:
            self.ink.append(line(*nib, width=0.6)._replace(colour=METER))
        self.ink.append(Words(box.x0 + _PAD, box.y1 - 2.0, words, SMALL, True, colour=METER))
        return True

    # -- what components do ------------------------------------------------------------------------------------------
    def _tags(self, group: Element) -> None:
        texts = texts_in(group)
        owners: dict[str, list[str]] = {}
        for symbol in group:
            if symbol.get("class") == "symbol":
                for part in symbol.get("data-part", "").split():
                    owners.setdefault(part.rpartition(":")[0], []).append(part)
        for device, parts in owners.items():
            says = [self.reading.positions.get(device, ""), *(self.reading.parts.get(part, "") for part in parts)]
            says = [text for text in dict.fromkeys(says) if text]
            name = next((t for t in texts if t.bold and t.words == device), None)
            active = device in self.reading.moved or any(part in self.reading.parts for part in parts)
            if says and not (name and self._tag(says, name, texts, active)):
                self.left_over.append(f"{device} {', '.join(says)}")

    def _tag(self, says: Sequence[str], name: Text, texts: Sequence[Text], active: bool) -> bool:
        """Print what a component does at its name: after it, over it, or under the words that stand below it."""
        column = [t.box for t in texts if abs(t.box.x0 - name.box.x0) < 0.1 and t.box.y0 >= name.box.y0]
        under = max(box.y1 for box in column)
        for limit in _LIMITS:
            lines = wrap(", ".join(says), limit, SMALL, True)
            wide = max(width(text, SMALL, True) for text in lines) + 2 * _PAD
            high = HIGH + SMALL * LEADING * (len(lines) - 1)
            spots = ((name.box.x1 + 4, name.box.y1 - HIGH + 1), (name.box.x0, name.box.y0 - high - 2))
            for x, y in (*spots, (name.box.x0, under + 2)):
                if self._put_tag(Box(x, y, x + wide, y + high), lines, active):
                    return True
        return False

    def _put_tag(self, box: Box, lines: Sequence[str], active: bool) -> bool:
        if not self.room.free(box):
            return False
        self.room.take(box)
        self.ink.append(Rect(box.x0, box.y0, box.x1 - box.x0, box.y1 - box.y0, 0.7, TAG if active else "#FFFFFF"))
        for index, text in enumerate(lines):
            self.ink.append(Words(box.x0 + _PAD, box.y0 + HIGH - 2.0 + index * SMALL * LEADING, text, SMALL, True))
        return True
