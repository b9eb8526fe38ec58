"""Values that differ from a given one in a single fact."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from renderers.sheets.plain import hidden_in
from renderers.sheets.sight import View

SOME = 6  # of a kind


def within(value: Any) -> Iterator[Any]:
    """A value and all that it is made of."""
    yield value
    if isinstance(value, Mapping):
        parts = [*value, *value.values()]
    elif isinstance(value, tuple | frozenset):
        parts = list(value)
    else:
        parts = [part for _, part in facts(value)]
    for part in parts:
        yield from within(part)


def facts(value: Any) -> list[tuple[str, Any]]:
    """The names and values of a record's fields; nothing for what is no record."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return [(field.name, getattr(value, field.name)) for field in dataclasses.fields(value) if field.init]
    return [(name, getattr(value, name)) for name in getattr(value, "_fields", ())]


def others(value: Any) -> Iterator[Any]:
    """Values that differ from one in one fact that drawings may see."""
    kind: Any = type(value)
    if found := facts(value):
        make = value._replace if hasattr(value, "_fields") else lambda **fact: replace(value, **fact)
        for name, own in found:
            if name not in hidden_in(kind):
                yield from (make(**{name: new}) for new in others(own))
    elif isinstance(value, tuple):
        yield (*value, "another")
        yield from ((new, *value[1:]) for new in (others(value[0]) if value else ()))
    elif isinstance(value, Mapping):
        for key in list(value)[:SOME]:
            yield {name: own for name, own in value.items() if name != key}
            yield from ({**value, key: new} for new in others(value[key]))
    elif isinstance(value, frozenset):
        yield value | {"another"}
    elif isinstance(value, bool) or value is None:
        yield not value
    elif isinstance(value, int | float):
        yield value + 1e-9
    else:
        yield f"{value}'"


def other_views(view: View) -> Iterator[View]:
    """Views that differ from one in one thing."""
    for name, value in facts(view.variant):
        for new in others(value) if name != "wires" else ():
            yield view._replace(variant=replace(view.variant, **{name: new}))
    for wire in view.variant.wires[:SOME]:
        for new in others(wire):
            yield _with(view, {**{old: old for old in view.variant.wires}, wire: new})
    content = view.content
    for number in range(len(content.wires)):
        yield view._replace(content=content._replace(wires=content.wires[:number]))
    for number in range(len(content.cuts)):
        yield view._replace(content=content._replace(cuts=content.cuts[:number]))
    for field in ("components", "crowded"):
        yield from (view._replace(content=content._replace(**{field: new})) for new in others(getattr(content, field)))
    for field in ("potential", "plan", "names"):
        yield from (view._replace(**{field: new}) for new in others(getattr(view, field)))


def _with(view: View, wires: Mapping[Any, Any]) -> View:
    """A view with other wires in place of its own."""
    whole, cuts = (wires[w] for w in view.content.wires), ((wires[w], side) for w, side in view.content.cuts)
    content = view.content._replace(wires=tuple(whole), cuts=tuple(cuts))
    return view._replace(variant=replace(view.variant, wires=tuple(wires.values())), content=content)
