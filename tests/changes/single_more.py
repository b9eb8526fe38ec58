"""More single edits: of the colour table, of options on offer, of waivers. `EDITORS` has those of `single` too."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.model.variant import Variant
from grammar.source import Span
from tests.changes.single import EDITORS, Edit, editor, inside
from tests.seeded.edits import Planted, file_end, plain_wires

__all__ = ["EDITORS"]


def _table(variant: Variant) -> Span:
    (table,) = variant.colour_tables.values()
    return table.span


@editor
def colour_added(variant: Variant) -> Iterator[Edit]:
    end = _table(variant)._replace(start=_table(variant).end - 1)
    yield Planted().insert(end, '  colour DB "dark blue" "#203070"\n'), [("colour-added", ("DB",), "", "")]


@editor
def colour_shown_otherwise(variant: Variant) -> Iterator[Edit]:
    end = _table(variant)._replace(start=_table(variant).end - 1)
    old = variant.colours.colours["SR"]
    line = f'  colour SR "{old.name}" "#123456"\n'
    yield Planted().insert(end, line), [("colour-shown", ("SR",), old.rgb, "#123456")]


@editor
def colour_renamed(variant: Variant) -> Iterator[Edit]:
    end = _table(variant)._replace(start=_table(variant).end - 1)
    old = variant.colours.colours["TQ"]
    line = f'  colour TQ "sea green" "{old.rgb}"\n'
    yield Planted().insert(end, line), [("colour-title", ("TQ",), f'"{old.name}"', '"sea green"')]


@editor
def tracer_changed(variant: Variant) -> Iterator[Edit]:
    for code, tracer in variant.colours.tracers.items():
        span = inside(_table(variant), rf"(?<=tracer {code}) +{tracer}\b")
        if span and not any(f"{code}*" in source.text for source in variant.sources):
            yield Planted().replace(span, " SR"), [("colour-tracer", (code,), tracer, "SR")]


@editor
def option_offered(variant: Variant) -> Iterator[Edit]:
    source = next(iter(variant.options.values())).at.source
    line = '\noption WINCH "Winch"\n'
    yield Planted().insert(file_end(source), line), [("offer-added", ("WINCH",), "", "")]


@editor
def option_on_offer_retitled(variant: Variant) -> Iterator[Edit]:
    had = {name for name, _ in variant.header.options}
    for option in variant.options.values():
        if option.id not in had:
            span = inside(option.span, r'"[^"]*"')
            assert span is not None
            yield Planted().replace(span, '"Otherwise"'), [("offer-title", (option.id,), span.text, '"Otherwise"')]


@editor
def finding_excused(variant: Variant) -> Iterator[Edit]:
    for wire in plain_wires(variant):
        if wire.span.text.rstrip() == wire.span.text and "{" not in wire.span.text:
            end = wire.span._replace(start=wire.span.end)
            excuse = ' allow size-step-unprotected "short, in conduit"'
            said = ("wire-waiver", (wire.id,), "", '"short, in conduit"')
            yield Planted().insert(end, excuse), [said]


@editor
def excuse_withdrawn(variant: Variant) -> Iterator[Edit]:
    for circuit in variant.circuits.values():
        for waiver in variant.waivers:
            if waiver.covers == circuit.span:
                said = ("circuit-waiver", (circuit.id,), f'"{waiver.reason}"', "")
                yield Planted().replace(waiver.at, ""), [said]


@editor
def excuse_reworded(variant: Variant) -> Iterator[Edit]:
    for circuit in variant.circuits.values():
        for waiver in variant.waivers:
            if waiver.covers == circuit.span and (span := inside(waiver.at, r'"[^"]*"')):
                said = ("circuit-waiver", (circuit.id,), span.text, '"for another reason"')
                yield Planted().replace(span, '"for another reason"'), [said]
