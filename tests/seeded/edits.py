"""Small edits of source text by the places the model knows, kept apart from what they plant."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from compiler.model.items import Device, End, Point, Wire
from compiler.model.variant import Variant
from grammar.source import Source, Span
from grammar.tree import Word


@dataclass
class Planted:
    """A fault to plant: edits of the text, and where its check must speak (any of these lines, after the edit)."""

    edits: list[tuple[Span, str]] = field(default_factory=list)
    expect: list[tuple[Source, int]] = field(default_factory=list)
    expect_words: list[tuple[Source, str]] = field(default_factory=list)

    def replace(self, span: Span, text: str) -> Planted:
        """Put `text` in the place of `span`."""
        self.edits.append((span, text))
        return self

    def insert(self, span: Span, text: str) -> Planted:
        """Put `text` before `span`."""
        self.edits.append((span._replace(end=span.start), text))
        return self

    def at(self, span: Span) -> Planted:
        """The finding is expected on the line of this place (of the text before the edit)."""
        self.expect.append((span.source, span.start))
        return self

    def at_words(self, source: Source, words: str) -> Planted:
        """The finding is expected on the line of the edited text that holds these words."""
        self.expect_words.append((source, words))
        return self

    def texts(self) -> dict[Source, str]:
        """The edited texts."""
        done: dict[Source, str] = {}
        for source in dict.fromkeys(span.source for span, _ in self.edits):
            text = source.text
            own = [(s, t) for s, t in self.edits if s.source is source]
            for span, new in sorted(own, key=lambda e: e[0].start, reverse=True):
                text = text[: span.start] + new + text[span.end :]
            done[source] = text
        return done

    def expected(self) -> list[tuple[str, int]]:
        """File name and line, after the edit, at which the finding must stand."""
        found = []
        for source, offset in self.expect:
            shift = sum(
                new.count("\n") - span.text.count("\n")
                for span, new in self.edits
                if span.source is source and span.start <= offset and span.end <= offset
            )
            found.append((source.name, source.position(offset).line + shift))
        texts = self.texts()
        for source, words in self.expect_words:
            text = texts[source]
            found.append((source.name, text.count("\n", 0, text.index(words)) + 1))
        return found


def end_span(wire: Wire, end: End) -> Span:
    """Where one end of a wire is written."""
    return Span(wire.at.source, end.written.start, end.written.end)


def word_span(source: Source, word: Word) -> Span:
    return Span(source, word.start, word.end)


def line_end(span: Span) -> Span:
    """The empty place behind a one-line statement's own words."""
    return span._replace(start=span.end)


def line_start(span: Span) -> Span:
    """The empty place at the start of the line of `span`."""
    text = span.source.text
    start = text.rfind("\n", 0, span.start) + 1
    return Span(span.source, start, start)


def file_end(source: Source) -> Span:
    return Span(source, len(source.text), len(source.text))


def other_end(wire: Wire, point: Point) -> End:
    return wire.b if wire.a.point == point else wire.a


def end_at(wire: Wire, point: Point) -> End:
    return wire.a if wire.a.point == point else wire.b


def plain_wires(variant: Variant) -> Iterable[Wire]:
    """Wires written plainly: no core, no waiver on the line."""
    waived = {(w.at.source, w.covers.start) for w in variant.waivers}
    for wire in variant.wires:
        if not wire.core and (wire.span.source, wire.span.start) not in waived:
            yield wire


def header_end(device: Device) -> Span:
    """The place behind the words of a device's line, before its block if it has one."""
    text = device.span.source.text
    brace = text.find("{", device.span.start, device.span.end)
    end = brace if brace >= 0 else device.span.end
    while text[end - 1].isspace():
        end -= 1
    return Span(device.span.source, end, end)
