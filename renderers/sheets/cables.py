"""Marks of wires that belong together: a twist as a figure of eight round its wires, a screen as a dashed outline round
its cores with a line to the wire that drains it (in the sense of IEC 60617-3 and IEEE 315, drawn by this project).

Where the wires run side by side one mark goes round all; where they do not, each wire bears a small one, and a twist its
name, for its wires say nothing of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from compiler.model.variant import Variant
from renderers.sheets.ink import Shape, Words, line
from renderers.sheets.labels import SMALL, width
from renderers.sheets.measure import LEAST_GAP, Box, Drawing, Segment
from renderers.sheets.room import Room
from renderers.sheets.symbols import marks

_WIDEST = 84.0  # between the outer wires of one mark
_STEP = 3.0
_CLEAR = 0.6


class Bundle(NamedTuple):
    """Wires that belong together, by id: twisted, or cores inside one screen, or both; with the wires that drain the
    screen. `name` is that of a twist whose wires do not bear a cable's."""

    wires: tuple[str, ...]
    name: str = ""
    twisted: bool = False
    screened: bool = False
    drains: tuple[str, ...] = ()

    @property
    def reach(self) -> float:
        """How far its mark reaches from the middle of a wire."""
        return marks.SCREEN if self.screened else marks.TWIST


class Run(NamedTuple):
    """A straight piece of a wire: its place across, and its extent along (y if upright, else x)."""

    at: float
    start: float
    end: float


def bundles(variant: Variant) -> Iterator[Bundle]:
    """Every twist and every screened cable of a variant, with the wires that are its cores."""
    for twist in variant.twists.values():
        yield Bundle(tuple(word.text for word in twist.wires), twist.id, twisted=True)
    by_core: dict[str, list[str]] = {}
    for wire in variant.wires:
        if wire.core:
            by_core.setdefault(wire.core, []).append(wire.id)
    for cable in variant.cables.values():

        def wires(cores: Iterable[str], cable: str = cable.id) -> tuple[str, ...]:
            return tuple(wire for core in cores for wire in by_core.get(f"{cable}.{core}", ()))

        inner = [core.name for core in cable.cores.values() if not core.is_shield]
        drains = wires(core.name for core in cable.cores.values() if core.is_shield)
        screened = len(inner) < len(cable.cores)
        alike = any(set(names) == set(inner) for names in cable.twists)
        if screened:
            yield Bundle(wires(inner), "", alike, True, drains)
        for names in cable.twists:
            if not (screened and alike):
                yield Bundle(wires(names), twisted=True)


def cable_marks(bundled: Iterable[Bundle], drawing: Drawing) -> list[Shape]:
    """The marks of bundles on a drawing."""
    shown = {wire.id for wire in drawing.wires}
    marker = _Marker(drawing)
    for bundle in bundled:
        present = [wire for wire in dict.fromkeys(bundle.wires) if wire in shown]
        if present:
            marker.mark(bundle, present)
    return marker.ink


class _Marker:
    def __init__(self, drawing: Drawing) -> None:
        self.ink: list[Shape] = []
        self.drawing = drawing
        wide, high = drawing.size
        self.room = Room(Box(0, 0, wide, high), drawing.covers(wires=False))
        self.texts = Room(Box(0, 0, wide, high), (text.box for text in drawing.texts))
        self.pieces = [(wire.id, piece) for wire in drawing.wires for piece in wire.segments()]

    def mark(self, bundle: Bundle, wires: Sequence[str]) -> None:
        """Mark the wires of a bundle that are shown: together where they run side by side, else each."""
        if len(wires) > 1 and self._together(bundle, wires):
            return
        for wire in wires:
            self._alone(bundle, wire)

    def _together(self, bundle: Bundle, wires: Sequence[str]) -> bool:
        reach = bundle.reach
        for upright in (True, False):
            for runs in self._side_by_side(wires, upright):
                first, last = min(r.at for r in runs), max(r.at for r in runs)
                start, end = max(r.start for r in runs), min(r.end for r in runs)
                for middle in _outwards(start + reach, end - reach):
                    if self._take(_box(upright, first - reach, last + reach, middle, reach), wires):
                        if bundle.twisted:
                            self.ink += marks.figure_of_eight(upright, first, last, middle)
                        if bundle.screened:
                            self.ink += marks.screen(upright, first, last, middle)
                            self._drain(bundle, upright, first - reach, last + reach, middle)
                        return True
        return False

    def _side_by_side(self, wires: Sequence[str], upright: bool) -> Iterator[list[Run]]:
        """Straight pieces, one of each wire, that run along each other; the longest stretches first."""
        found = []
        for one in self._runs(wires[0], upright):
            runs = [one]
            for wire in wires[1:]:
                beside = [r for r in self._runs(wire, upright) if min(r.end, one.end) - max(r.start, one.start) > 9]
                if beside:
                    runs.append(min(beside, key=lambda r: abs(r.at - one.at)))
            if len(runs) == len(wires) and max(r.at for r in runs) - min(r.at for r in runs) <= _WIDEST:
                found.append(runs)
        yield from sorted(found, key=lambda runs: max(r.start for r in runs) - min(r.end for r in runs))

    def _runs(self, wire: str, upright: bool) -> list[Run]:
        found = []
        for name, s in self.pieces:
            if name == wire and upright == (s.x0 == s.x1):
                ends = (s.y0, s.y1) if upright else (s.x0, s.x1)
                found.append(Run(s.x0 if upright else s.y0, min(ends), max(ends)))
        return found

    def _alone(self, bundle: Bundle, wire: str) -> None:
        """Put a mark on one wire: with its name, or where there is no room for that without, the closer the less room."""
        for name, by in ((bundle.name, _CLEAR), ("", _CLEAR), ("", 0.0)):
            for upright in (True, False):
                for run in sorted(self._runs(wire, upright), key=lambda r: r.start - r.end):
                    for middle in _outwards(run.start + marks.LONE, run.end - marks.LONE):
                        box = _box(upright, run.at - marks.LONE, run.at + marks.LONE, middle, marks.LONE)
                        if self._named(box, name, wire, by):
                            self.ink += marks.wave(upright, run.at, middle) if bundle.twisted else []
                            self.ink += marks.ring(upright, run.at, middle) if bundle.screened else []
                            return

    def _named(self, box: Box, name: str, wire: str, by: float) -> bool:
        """Take the place of a mark on one wire, and beside it that of its name."""
        if not name:
            return self._take(box, [wire], by)
        for place in _names(box, width(name, SMALL)):
            beside = Box(place.x0 - LEAST_GAP, place.y0, place.x1 + LEAST_GAP, place.y1)
            if self.texts.blocker(beside, 0.0) or any(_near(piece, place) for _, piece in self.pieces):
                continue
            if self._take(_around(box, place), [wire], by):
                self.texts.take(place)
                self.ink.append(Words(place.x0, place.y1, name, SMALL))
                return True
        return False

    def _take(self, box: Box, wires: Sequence[str], by: float = _CLEAR) -> bool:
        """Take a place for a mark on some wires, if nothing else is there or nearer than `by`."""
        if not self.room.free(box, by):
            return False
        if any(name not in wires and _near(piece, box) for name, piece in self.pieces):
            return False
        self.room.take(box)
        return True

    def _drain(self, bundle: Bundle, upright: bool, first: float, last: float, middle: float) -> None:
        """Draw the line from a screen to the wire that drains it, where nothing lies between."""
        for wire in bundle.drains:
            for run in self._runs(wire, upright):
                if not run.start + 3 < middle < run.end - 3 or first < run.at < last:
                    continue
                ends = (run.at, first) if run.at < first else (last, run.at)
                inner = _box(upright, ends[0] + 0.1, ends[1] - 0.1, middle, 1.0)  # it touches the screen itself
                if ends[1] - ends[0] < _WIDEST and self._take(inner, [wire], 0.0):
                    spots = [(end, middle) if upright else (middle, end) for end in ends]
                    self.ink.append(line(*spots, width=marks.MARK_PEN))
                    return


def _near(piece: Segment, box: Box) -> bool:
    half = piece.width / 2 + 0.4
    return (
        min(piece.x0, piece.x1) - half < box.x1
        and max(piece.x0, piece.x1) + half > box.x0
        and min(piece.y0, piece.y1) - half < box.y1
        and max(piece.y0, piece.y1) + half > box.y0
    )


def _box(upright: bool, first: float, last: float, middle: float, reach: float) -> Box:
    across = (first, middle - reach, last, middle + reach)
    return Box(*across) if upright else Box(across[1], across[0], across[3], across[2])


def _outwards(start: float, end: float) -> Iterator[float]:
    """Places from the middle of a stretch to its ends."""
    middle, step = (start + end) / 2, 0.0
    while start <= middle - step:
        yield middle - step
        if step:
            yield middle + step
        step += _STEP


def _names(box: Box, wide: float) -> Iterator[Box]:
    """Where a name can stand beside a mark."""
    middle, x = (box.y0 + box.y1) / 2, (box.x0 + box.x1) / 2
    yield Box(box.x0 - 1 - wide, middle - 2.5, box.x0 - 1, middle + 2.3)
    yield Box(box.x1 + 1, middle - 2.5, box.x1 + 1 + wide, middle + 2.3)
    yield Box(x - wide / 2, box.y0 - 6, x + wide / 2, box.y0 - 1.2)
    yield Box(x - wide / 2, box.y1 + 1, x + wide / 2, box.y1 + 5.8)


def _around(one: Box, other: Box) -> Box:
    return Box(min(one.x0, other.x0), min(one.y0, other.y0), max(one.x1, other.x1), max(one.y1, other.y1))
