"""Wire ends that do not land: written once in the source, looked at by several checks."""

from __future__ import annotations

from typing import NamedTuple

from compiler.assembly.names import nearest
from compiler.model.items import End, Point, Wire
from compiler.model.variant import Variant
from grammar.source import Span

MAX_GUESSES = 60  # a guess costs milliseconds among thousands of names


class Adrift(NamedTuple):
    """A wire end that could not be placed; `item` and `terminal` are the two parts of what is written there."""

    wire: Wire
    end: End
    item: str
    terminal: str

    @property
    def at(self) -> Span:
        """The place of the written end."""
        return end_span(self.wire, self.end)


class Ends:
    """The ends of a variant that do not land, in the order of the source, and what they most likely meant."""

    def __init__(self, variant: Variant) -> None:
        self.variant = variant
        self.adrift: tuple[Adrift, ...] = tuple(
            Adrift(wire, end, *divide(end.written.text))
            for wire in variant.wires
            for end in (wire.a, wire.b)
            if end.problem
        )
        self._guesses: dict[str, str] = {}
        self.lost_count = False  # so many names stand for nothing that nobody knows what is missing

    def guess(self, name: str) -> str:
        """The id of the item that a name stands for or was most likely meant to be; empty when nothing is close."""
        if name in self.variant.items:
            return name
        found = self._guesses.get(name)
        if found is None:
            if len(self._guesses) == MAX_GUESSES:
                self.lost_count = True
                return ""
            found = self._guesses[name] = nearest(name, self.variant.items)
        return found


def divide(text: str) -> tuple[str, str]:
    """Item and terminal of a written end: `K7.87` is `K7` and `87`, `SP101` is `SP101` and nothing."""
    item, dot, terminal = text.rpartition(".")
    return (item, terminal) if dot else (text, "")


def end_span(wire: Wire, end: End) -> Span:
    """Where one end of a wire is written."""
    return Span(wire.at.source, end.written.start, end.written.end)


def end_at(wire: Wire, point: Point) -> End:
    """The end of a wire that lies at a point, which one of its ends must do."""
    return wire.a if wire.a.point == point else wire.b


def place_at(wire: Wire, point: Point) -> Span:
    """Where the end of a wire at a point is written."""
    return end_span(wire, end_at(wire, point))


def label_span(wire: Wire) -> Span:
    """Where the segment letter of a wire is written."""
    start = wire.span.source.text.rfind(wire.segment, wire.span.start, wire.at.start)
    return Span(wire.span.source, start, start + len(wire.segment))
