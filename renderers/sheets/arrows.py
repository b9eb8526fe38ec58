"""The names of pages at arrows, and at things that stand elsewhere too. Pages are laid out before they have names, so these
come last."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from compiler.model.variant import Variant
from renderers.sheets.box import Context, Ends
from renderers.sheets.ink import moved
from renderers.sheets.joints import arrow, shown_point
from renderers.sheets.layout import Layout
from renderers.sheets.pointers import pointer_ink
from renderers.sheets.shapes import ends_of
from renderers.sheets.sight import far_side
from renderers.sheets.units import Sort, Unit

Aim = tuple[str, int]
"""Where an arrow leads: the id of its wire, and which end (0 or 1) of it."""


def aims(layout: Layout) -> tuple[Aim, ...]:
    """Where the arrows of a layout lead, in its order."""
    found = []
    for unit, ends in _arrows(layout):
        assert unit.wire is not None
        found.append((unit.wire.id, far_side(unit.wire, shown_point(ends))))
    return tuple(found)


def pointing(layout: Layout) -> tuple[str, ...]:
    """The things of a layout that say where else they stand, in its order."""
    return tuple(box.pointer.item for box in layout.boxes.values() if box.pointer)


def with_names(
    layout: Layout, variant: Variant, here: str, arrows: Sequence[str], others: Sequence[Sequence[str]]
) -> Layout:
    """A layout with the names of pages at its arrows and things, in its order; each arrow stays where it is. `here`: the
    page's own name."""
    boxes = dict(layout.boxes)
    waiting = iter(others)
    for key, box in layout.boxes.items():
        if box.pointer:
            boxes[key] = replace(box, ink=[*box.ink, *pointer_ink(box.pointer, here, next(waiting))])
    for (unit, ends), name in zip(_arrows(layout), arrows, strict=True):

        def page(*_: object, name: str = name) -> str:
            return name

        old, new = boxes[unit.key], arrow(unit, ends, Context(variant, page, lambda _: "", {}, {}))
        shift = old.ports[0].x - new.ports[0].x
        marks = [m._replace(ink=tuple(moved(m.ink, shift, 0))) for m in new.marks]
        boxes[unit.key] = replace(old, ink=moved(new.ink, shift, 0), marks=marks)
    return replace(layout, boxes=boxes)


def _arrows(layout: Layout) -> Iterator[tuple[Unit, Ends]]:
    ends = ends_of(layout.scene)
    return ((unit, ends[key]) for key, unit in layout.scene.units.items() if unit.sort is Sort.ARROW)
