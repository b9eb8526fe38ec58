"""What the drawing of one sheet can see: the sheet's wires, what they end at, and a little of what lies beyond.

A sheet is drawn from its `View` and nothing else, and `Sights.told` tells the whole of a view. So a drawing kept under a
name made of that is the one that would be made now: what the view does not hold has no say in it, and what it holds is in
the name.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, replace
from functools import cached_property
from types import MappingProxyType
from typing import Any, NamedTuple, TypeVar, cast

from compiler.model.items import End, Named, Point, Wire
from compiler.model.variant import Variant
from renderers.sheets.plain import NO_WORD, copy, outline, told
from renderers.sheets.plan import SheetPlan
from renderers.sheets.register import Register
from renderers.sheets.units import Content, sits_on_bus

Item = TypeVar("Item", bound=Named)
Fact = TypeVar("Fact", bound=Named | Wire)


# What no drawing sees of a variant.
_NO_GROUPS = ("options", "harnesses", "structures", "circuits", "sheets", "states", "trouble_codes", "kinds")
_NO_LISTS = ("scenarios", "waivers", "unresolved", "duplicates", "conditions", "sources")
_NOTHING: Mapping[str, Any] = {name: MappingProxyType({}) for name in _NO_GROUPS} | dict.fromkeys(_NO_LISTS, ())


class Names(NamedTuple):
    """Other pages that a sheet names. `pages`: for each wire the page that shows its one end, and its other; `others`: for
    each component, ground and bus the other pages that it stands on."""

    pages: Mapping[str, tuple[str, str]]
    others: Mapping[str, tuple[str, ...]]

    def page_of_wire(self, wire: Wire, near: Point | None) -> str:
        """The page that shows the far end of a wire, seen from a point."""
        return self.pages[wire.id][far_side(wire, near)]


def far_side(wire: Wire, near: Point | None) -> int:
    """The end (0 or 1) of a wire that lies away from a point."""
    return 1 if wire.a.point == near else 0


class View(NamedTuple):
    """A variant as one sheet sees it.

    variant    the wires that it draws, whole or as arrows, and what they end at; of the far ends of arrows an outline;
               of other wires that come to what it draws their circuit and where they end
    potential  of the points at which it draws wires
    plan       the sheet, its wires aside
    content    what is to be drawn, in wires of this variant
    names      of other pages, as long as they may get
    """

    variant: Variant
    potential: Mapping[Point, float]
    plan: SheetPlan
    content: Content
    names: Names


class Sights:
    """Makes and tells the views of a variant's sheets. `early`: where wires are drawn and things stand, before there are
    pages."""

    def __init__(self, variant: Variant, potential: Mapping[Point, float], early: Register) -> None:
        self.variant = variant
        self.potential = potential
        self.early = early
        self._place = {wire: number for number, wire in enumerate(variant.wires)}
        self._order: dict[int, dict[str, int]] = {}
        self._copies: dict[Named | Wire, Any] = {}
        self._outlines: dict[Named, Any] = {}
        self._pieces: dict[tuple[str | Point | None, ...], Wire] = {}
        self._texts: dict[object, str] = {}

    # -- what a sheet sees ---------------------------------------------------------------------------------------------
    def view(self, plan: SheetPlan, content: Content) -> View:
        """The view of a sheet."""
        variant, part = self.variant, self._part
        near, points = self._near(content)
        drawn = dict.fromkeys((*content.wires, *(wire for wire, _ in content.cuts)))
        for point in points:
            # No arrow leaves a ground, or a fuse on a bus.
            if point.item not in variant.grounds and not self._on_bus(point.item):
                drawn.update(dict.fromkeys(variant.wires_at(point)))
        wires = {wire: self._copy(wire) for wire in drawn}
        wires |= self._passing(near, drawn)
        far = set(self._beyond(drawn)) - near.keys()
        blocks, buses = part(variant.blocks, near), part(variant.buses, near, far)
        splices, grounds = part(variant.splices, near, far), part(variant.grounds, near, far)
        connectors, devices = part(variant.connectors, near, far), part(variant.devices, near, far)
        located = (item for group in (blocks, buses, splices, grounds, connectors, devices) for item in group.values())
        small = Variant(
            header=copy(variant.header),
            colours=variant.colours,
            zones=part(variant.zones, {item.place.zone for item in located if item.place is not None}),
            blocks=blocks,
            buses=buses,
            splices=splices,
            grounds=grounds,
            connectors=connectors,
            devices=devices,
            cables=part(variant.cables, {self._cables[w.id] for w in drawn if w.id in self._cables}),
            twists=part(variant.twists, {twist for w in drawn for twist in self._twists.get(w.id, ())}),
            wires=tuple(wires[wire] for wire in sorted(wires, key=self._place.__getitem__)),
            **_NOTHING,
        )
        whole, cuts = (wires[w] for w in content.wires), ((wires[w], side) for w, side in content.cuts)
        return View(
            small,
            self._potentials(points, drawn),
            replace(plan, wires=(), components=()),
            content._replace(wires=tuple(whole), cuts=tuple(cuts)),
            self._names(plan.number, near, drawn),
        )

    def _near(self, content: Content) -> tuple[dict[str, None], dict[Point, None]]:
        """The ids of what is drawn on a sheet, and the points at which wires may leave it."""
        variant = self.variant
        ends = [end for wire in content.wires for end in wire.ends] + [wire.ends[side] for wire, side in content.cuts]
        points = dict.fromkeys(end.point for end in ends if end.point is not None)
        near: dict[str, None] = {}
        todo = [*content.components, *(point.item for point in points)]
        while todo:
            item = todo.pop()
            if not item or item in near:
                continue
            near[item] = None
            if (connector := variant.connectors.get(item)) is not None:
                todo.append(connector.device)
            if (device := variant.devices.get(item)) is not None:
                todo += (*device.connectors, device.bus, device.block)
            if (bus := variant.buses.get(item)) is not None:
                todo.append(bus.block)
        points.update({Point(item, "", 0): None for item in near if item in variant.buses})
        for point in list(points):
            if (connector := variant.connectors.get(point.item)) is not None and connector.is_inline:
                points[point._replace(half=1 - point.half)] = None
        return near, points

    def _on_bus(self, item: str) -> bool:
        connector = self.variant.connectors.get(item)
        device = self.variant.devices.get(connector.device if connector else item)
        return device is not None and sits_on_bus(self.variant, device)

    def _beyond(self, drawn: Iterable[Wire]) -> Iterator[str]:
        """The ids of what drawn wires end at, and of the components behind a plug."""
        for wire in drawn:
            for end in wire.ends:
                if end.point is not None:
                    yield end.point.item
                    if (connector := self.variant.connectors.get(end.point.item)) is not None:
                        yield connector.device

    def _passing(self, near: Mapping[str, None], drawn: Mapping[Wire, None]) -> dict[Wire, Wire]:
        """What is seen of wires that come to what is drawn and are not drawn themselves: of those alike the first."""
        points = dict.fromkeys(point for item in near for point in self.variant.wired_points(item))
        others = {wire for point in points for wire in self.variant.wires_at(point)} - drawn.keys()
        found: dict[tuple[str, Point | None, Point | None], Wire] = {}
        for wire in sorted(others, key=self._place.__getitem__):
            a, b = (end.point if end.point in points else None for end in wire.ends)
            found.setdefault((wire.circuit, a, b), wire)
        return {wire: self._passed(wire, *key) for key, wire in found.items()}

    def _passed(self, wire: Wire, circuit: str, *points: Point | None) -> Wire:
        key = (circuit, *points)
        found = self._pieces.get(key)
        if found is None:
            a, b = (End(NO_WORD, point, "") for point in points)
            own = replace(self._copy(wire), id="", a=a, b=b, size=None, colour=None, core="", unknown=())
            found = self._pieces[key] = own
        return found

    def _part(self, group: Mapping[str, Item], near: Iterable[str], far: Iterable[str] = ()) -> dict[str, Item]:
        """The things of a group that have one of some ids, in the order of the group; of those far away an outline."""
        order = self._order.get(id(group))
        if order is None:
            order = self._order[id(group)] = {name: number for number, name in enumerate(group)}
        found = {name: self._copy(group[name]) for name in near if name in order}
        found |= {name: self._outline(group[name]) for name in far if name in order}
        return {name: found[name] for name in sorted(found, key=order.__getitem__)}

    def _outline(self, item: Item) -> Item:
        found = self._outlines.get(item)
        if found is None:
            found = self._outlines[item] = outline(item)
        return cast(Item, found)

    def _copy(self, item: Fact) -> Fact:
        found = self._copies.get(item)
        if found is None:
            found = self._copies[item] = copy(item)
        return cast(Fact, found)

    def _potentials(self, points: Iterable[Point], drawn: Iterable[Wire]) -> dict[Point, float]:
        ends = (end.point for wire in drawn for end in wire.ends if end.point is not None)
        return {p: self.potential[p] for p in dict.fromkeys((*points, *ends)) if p in self.potential}

    def _names(self, here: str, near: Iterable[str], drawn: Iterable[Wire]) -> Names:
        pages = {w.id: (self.early.page(here, w.id, 0), self.early.page(here, w.id, 1)) for w in drawn}
        groups = (self.variant.devices, self.variant.grounds, self.variant.buses)
        named = [item for item in near if any(item in group for group in groups) and not self._on_bus(item)]
        return Names(pages, {item: self.early.elsewhere(here, item) for item in named})

    @cached_property
    def _twists(self) -> Mapping[str, list[str]]:
        """Wire -> twists that it is part of."""
        found: dict[str, list[str]] = {}
        for twist in self.variant.twists.values():
            for word in twist.wires:
                found.setdefault(word.text, []).append(twist.id)
        return found

    @cached_property
    def _cables(self) -> Mapping[str, str]:
        """Wire -> the cable of which it is a core."""
        cores = {f"{c.id}.{core.name}": c.id for c in self.variant.cables.values() for core in c.cores.values()}
        return {wire.id: cores[wire.core] for wire in self.variant.wires if wire.core in cores}

    # -- a view in words -----------------------------------------------------------------------------------------------
    def told(self, view: View) -> Iterator[str]:
        """All that a view holds, as texts: two views that differ in anything have other texts."""
        for field in fields(view.variant):
            value = getattr(view.variant, field.name)
            yield field.name
            if isinstance(value, Mapping):
                yield json.dumps(list(value))
                yield from map(self._text, value.values())
            elif field.name == "wires":
                yield from map(self._text, value)
            else:
                yield self._text(value)
        number = {wire: place for place, wire in enumerate(view.variant.wires)}
        yield json.dumps(list(view.potential.items()))
        yield told(view.plan)
        content = view.content
        yield json.dumps([number[wire] for wire in content.wires])
        yield json.dumps([(number[wire], side) for wire, side in content.cuts])
        yield json.dumps((content.components, sorted(content.crowded)))
        yield json.dumps(view.names)

    def _text(self, value: object) -> str:
        found = self._texts.get(value)
        if found is None:
            found = self._texts[value] = f"{type(value).__name__} {told(value)}"
        return found
