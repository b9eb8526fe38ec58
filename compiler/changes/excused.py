"""Waivers as facts of what they stand on: which findings of a check are excused there, and why."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

from compiler.model.items import Named
from compiler.model.variant import Variant
from grammar.source import Span

WAIVER = "waiver "

Thing = tuple[str, str]
"""Sort and id, as in an inventory; ("variant", "") is the vehicle itself."""


def excused(
    variant: Variant, named: Mapping[str, Mapping[str, Named]]
) -> Mapping[Thing, Mapping[str, tuple[str, ...]]]:
    """Thing -> `waiver CHECK` -> the reasons given. `named` are the things of the variant by sort and id.

    A waiver on a part of a thing (a contact of a relay) is one of the thing.
    """
    found: dict[Thing, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    if not variant.waivers:
        return {}
    spans = list(_spans(variant, named))
    whole = {_key(span): thing for thing, span in spans}
    for waiver in variant.waivers:
        on = next((whole[_key(span)] for span in (*waiver.also, waiver.covers) if _key(span) in whole), None)
        if on is None:
            around = [(span.end - span.start, thing) for thing, span in spans if _holds(span, waiver.covers)]
            on = min(around, default=(0, ("variant", "")))[1]
        found[on][f"{WAIVER}{waiver.check}"].append(waiver.reason)
    return {on: {check: tuple(sorted(said)) for check, said in checks.items()} for on, checks in found.items()}


def _spans(variant: Variant, named: Mapping[str, Mapping[str, Named]]) -> Iterator[tuple[Thing, Span]]:
    for sort, things in named.items():
        for key, item in things.items():
            yield (sort, key), item.span
    for wire in variant.wires:
        yield ("wire", wire.id), wire.span
    for scenario in variant.scenarios:
        yield (scenario.kind, scenario.id), scenario.span


def _key(span: Span) -> tuple[str, int, int]:
    return span.source.name, span.start, span.end


def _holds(outer: Span, inner: Span) -> bool:
    return outer.source.name == inner.source.name and outer.start <= inner.start and inner.end <= outer.end
