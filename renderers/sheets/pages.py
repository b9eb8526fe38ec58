"""Sheets to pages that fit the paper, each laid out."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from compiler.model.items import Point, Wire
from compiler.model.variant import Variant
from renderers.sheets.box import Context
from renderers.sheets.distribution import GROUND, POWER, ground_sheet, power_sheet
from renderers.sheets.dot import Asking, together
from renderers.sheets.frame import LANDSCAPE, PORTRAIT, Page
from renderers.sheets.ink import moved
from renderers.sheets.labels import SMALL
from renderers.sheets.layout import Layout, dealt_out, lay_out, refined
from renderers.sheets.pack import components, packed
from renderers.sheets.plan import SheetPlan
from renderers.sheets.shapes import shapes
from renderers.sheets.split import split
from renderers.sheets.units import Content, Sort, build_scene
from renderers.text import natural_key

SMALLEST = 6.5  # points, of text as printed
LEAST_SCALE = SMALLEST / SMALL
PAPERS = (LANDSCAPE, PORTRAIT)
_AREA = LANDSCAPE.inside[0] * LANDSCAPE.inside[1]

# All below was found by counting and looking on pages of the samples.
# Shares of the paper that the boxes of a page take.
USUAL = 0.3
HOPELESS = 0.6
# By how much of two pages the fuller one is relieved at a time, and how far that may be missed so that fewer wires are cut.
STEP, NEAR = 0.06, 0.03
# Where a drawing is too wide its ranks are dealt out: the share of the width that boxes may then take; the scale below
# which that is in vain; turns a wire from which on it is tried though the page fits.
SHARE, VAIN, MANY = 0.8, 0.5, 1.2
TANGLE = 3.2  # turns a wire from which on the sheet rather gets another page


def fit(layout: Layout, paper: Page) -> float:
    """The scale at which a layout fits a paper, at most 1."""
    wide, high = paper.inside
    return min(1.0, wide / max(layout.width, 1.0), high / max(layout.height, 1.0))


class SheetPage:
    """A page: what it shows, the layouts of the drawings on it, its paper and scale; later the sheet it belongs to, its
    name, and which page of how many it is."""

    def __init__(self, content: Content, layouts: Sequence[Layout], paper: Page, thorough: bool = False) -> None:
        self.content = content
        self.paper = paper
        self.plan = SheetPlan("", "", "", (), (), ())
        self.name = ""
        self.of = (1, 1)
        self.layouts = list(layouts)
        self.layout, self.is_pressed = packed(self.layouts, *paper.inside, thorough)
        self.scale = fit(self.layout, paper)

    @property
    def fits(self) -> bool:
        """Whether the drawings find room without text that is too small."""
        return self.scale >= LEAST_SCALE

    @property
    def potential(self) -> float:
        """The mean potential of what stands on the page; grounds and arrows do not count."""
        values = [u.potential for u in self.layout.scene.units.values() if u.sort not in (Sort.GROUND, Sort.ARROW)]
        return round(sum(values) / len(values), 6) if values else 0.0

    @property
    def turns(self) -> int:
        """How hard the lines are to follow: their bends, and as much as three for every crossing."""
        bends = sum(max(0, len(line) - 2) for line in self.layout.lines.values())
        return bends + 3 * sum(layout.crossed for layout in self.layouts)

    @property
    def is_tangled(self) -> bool:
        """Whether its lines are too hard to follow for a page of a manual."""
        return self.turns > TANGLE * len(self.layout.lines)

    @property
    def crowd(self) -> float:
        """The share of the paper that boxes take."""
        return sum(box.width * box.height for box in self.layout.boxes.values()) / _AREA


class Paginator:
    """Makes pages of sheets."""

    def __init__(self, variant: Variant, potential: Mapping[Point, float]) -> None:
        self.variant = variant
        self.potential = potential

    def pages(self, plans: Sequence[SheetPlan]) -> Asking[list[SheetPage]]:
        """All pages of all sheets, named, arrows in agreement."""
        extra = [e for e in (power_sheet(self.variant, self.potential), ground_sheet(self.variant)) if e]
        # An author may have taken the letters.
        extra = [e for e in extra if e[0].number not in {plan.number for plan in plans}]
        register = _Register(self.variant, early=True)
        for plan in plans:
            register.add(plan.number, Content(plan.wires))
        contents = [*extra, *((plan, Content(plan.wires, (), plan.components)) for plan in plans)]
        fitted = yield from together([self._sheet(plan, content, register) for plan, content in contents])
        register = _Register(self.variant)
        pages: list[SheetPage] = []
        for number, ((plan, _), parts) in enumerate(zip(contents, fitted, strict=True)):
            for index, page in enumerate(parts):
                page.plan = plan
                page.name = plan.number if index == 0 else f"{plan.number} ({index + 1})"
                page.of = (index + 1, len(parts))
                if number >= len(extra):
                    # Arrows lead to where a wire is drawn for its own sake.
                    register.add(page.name, page.content)
                pages.append(page)
        for page in pages:
            self._name_arrows(page, register)
        return pages

    def _context(self, register: _Register, name: str) -> Context:
        return Context(self.variant, register.pages_of(name), register.sheets_of(name), {}, {})

    def _name_arrows(self, page: SheetPage, register: _Register) -> None:
        """Arrows were laid out before pages had names; now they get theirs."""
        layout = page.layout
        fresh = shapes(layout.scene, self._context(register, page.name), {})
        for key, unit in layout.scene.units.items():
            if unit.sort is Sort.ARROW:
                old, new = layout.boxes[key], fresh[key]
                shift = old.ports[0].x - new.ports[0].x
                marks = [m._replace(ink=tuple(moved(m.ink, shift, 0))) for m in new.marks]
                layout.boxes[key] = replace(old, ink=moved(new.ink, shift, 0), marks=marks)

    # -- what fits -----------------------------------------------------------------------------------------------
    def _sheet(self, plan: SheetPlan, content: Content, register: _Register) -> Asking[list[SheetPage]]:
        """The pages of a sheet."""
        context = self._context(register, plan.number)
        pages = yield from self._fewest(content, context)
        pages = yield from together([self._refine(page, context) for page in pages])
        # What is nearer the supply is read first.
        return sorted(pages, key=lambda page: -page.potential)

    def _fewest(self, content: Content, context: Context) -> Asking[list[SheetPage]]:
        """The content on as few pages as are found to hold it; on one more if that untangles them."""
        crowd = sum(self._room(content, context).values()) / _AREA
        pages: list[SheetPage] = []
        found: list[SheetPage] = []
        for count in range(max(1, math.ceil(crowd / HOPELESS)), max(2, math.ceil(crowd / USUAL)) + 1):
            parts = self._dealt(content, context, count)
            pages = yield from together([self._best_layout(part, context) for part in parts])
            if len(parts) > 1:
                yield from self._relieve(pages, context)
            if all(page.fits for page in pages) or len(parts) < count:
                if not any(page.is_tangled for page in pages):
                    return pages
                if found:
                    return found
                found = pages
        if found:
            return found
        pieces = yield from together([self._fitting(page, context) for page in pages])
        return [piece for part in pieces for piece in part]

    def _relieve(self, pages: list[SheetPage], context: Context) -> Asking[None]:
        """While a page is too full, a neighbour takes some of what it shows."""
        for turn in range(len(pages) + 1):
            full = next((page for page in pages if not page.fits), None)
            others = [page for page in pages if page.fits]
            if full is None or not others:
                return
            # One that shares wires with it, and has room.
            other = max(others, key=lambda page: _shared(full, page) - 40 * page.crowd)
            share = full.crowd / (full.crowd + other.crowd) - STEP * (1 + turn / len(pages))
            both = merged(full.content, other.content)
            parts = split(self.variant, both, share, self.potential, self._room(both, context), NEAR)
            if parts is None:
                return
            pages.remove(full)
            pages.remove(other)
            pages += yield from together([self._best_layout(part, context) for part in parts])

    def _fitting(self, page: SheetPage, context: Context) -> Asking[list[SheetPage]]:
        """A page cut in two until every part fits, or cannot be cut."""
        parts = [page.content] if page.fits else self._dealt(page.content, context, 2)
        if len(parts) == 1:
            return [page]
        pages = yield from together([self._best_layout(part, context) for part in parts])
        pieces = yield from together([self._fitting(page, context) for page in pages])
        return [piece for part in pieces for piece in part]

    def _dealt(self, content: Content, context: Context, count: int) -> list[Content]:
        """The content in a number of parts of like size, or in fewer where it cannot be cut."""
        share = (count // 2) / count
        room = self._room(content, context)
        halves = split(self.variant, content, share, self.potential, room) if count > 1 else None
        if halves is None:
            return [content]
        parts = zip(halves, (count // 2, count - count // 2), strict=True)
        return [part for half, number in parts for part in self._dealt(half, context, number)]

    def _room(self, content: Content, context: Context) -> dict[str, float]:
        """Square points that the boxes of a page take, by item, or cavity of an in-line connector."""
        scene = build_scene(self.variant, content, self.potential)
        room: dict[str, float] = {}
        for key, box in shapes(scene, context, {}).items():
            unit = scene.units[key]
            names = [f"{unit.item}.{cell}" for cell in unit.cells] if unit.sort is Sort.INLINE else unit.cells
            for name in names or [key]:
                room[name] = box.width * box.height / max(1, len(names))
        return room

    def _best_layout(self, content: Content, context: Context) -> Asking[SheetPage]:
        """The layout of a page's content that fits best, with its paper and scale."""
        parts = components(build_scene(self.variant, content, self.potential))
        plain = yield from together([lay_out(part, context) for part in parts])
        pages: list[SheetPage] = []
        for paper in PAPERS:
            pages.append(SheetPage(content, plain, paper))
            if pages[-1].fits and not pages[-1].is_pressed:
                return pages[-1]
        best = max(pages, key=lambda page: (page.fits, page.scale))
        if best.scale > VAIN and (not best.fits or best.turns > MANY * len(best.layout.lines)):
            tries = yield from together([_slimmer(plain, paper.inside[0]) for paper in PAPERS])
            pages += [SheetPage(content, slim, paper) for paper, slim in zip(PAPERS, tries, strict=True) if slim]
        return max(pages, key=lambda page: (min(page.scale, LEAST_SCALE), -page.turns, page.scale))

    def _refine(self, page: SheetPage, context: Context) -> Asking[SheetPage]:
        """Fewer crossings and bends, if the page still fits then."""
        layouts = yield from together([refined(layout, context) for layout in page.layouts])
        # Where the better drawings find no room together, those that are no larger than before.
        some = [
            new if new.width <= old.width and new.height <= old.height else old
            for new, old in zip(layouts, page.layouts, strict=True)
        ]
        for tries, thorough in ((layouts, True), (layouts, False), (some, True), (some, False), (page.layouts, True)):
            other = SheetPage(page.content, tries, page.paper, thorough)
            if other.scale >= min(page.scale, LEAST_SCALE):
                return other
        return page


def _slimmer(plain: Sequence[Layout], wide: float) -> Asking[list[Layout]]:
    """Layouts with ranks dealt out over several where they are too wide; nothing if none is."""
    asked = [dealt_out(own, wide * SHARE) for own in plain if own.width > wide]
    slim = iter((yield from together(asked)))
    return [next(slim) if own.width > wide else own for own in plain] if asked else []


def _shared(one: SheetPage, other: SheetPage) -> int:
    """How many wires are cut between two pages."""
    cuts = {w.id for w, _ in one.content.cuts}
    return sum(w.id in cuts for w, _ in other.content.cuts)


def merged(one: Content, other: Content) -> Content:
    """Two contents as one; a wire cut between them is whole again."""
    sides: dict[str, set[int]] = {}
    for wire, side in (*one.cuts, *other.cuts):
        sides.setdefault(wire.id, set()).add(side)
    healed = tuple(w for w, s in one.cuts if len(sides[w.id]) == 2)
    healed = tuple({w.id: w for w in healed}.values())
    cuts = tuple((w, s) for w, s in (*one.cuts, *other.cuts) if len(sides[w.id]) == 1)
    components_ = tuple(dict.fromkeys((*one.components, *other.components)))
    return Content((*one.wires, *other.wires, *healed), cuts, components_, one.crowded | other.crowded)


class _Register:
    """Where each end of each wire is drawn."""

    def __init__(self, variant: Variant, early: bool = False) -> None:
        self.early = early
        self.on: dict[str, list[tuple[str, int]]] = {}
        self.variant = variant

    def add(self, name: str, content: Content) -> None:
        """Note a page and what it shows."""
        for wire in content.wires:
            self.on.setdefault(wire.id, []).extend([(name, 0), (name, 1)])
        for wire, side in content.cuts:
            self.on.setdefault(wire.id, []).append((name, side))

    def pages_of(self, here: str) -> Callable[[Wire, Point | None], str]:
        """For a page: the page that shows the far end of a wire, seen from a point; of its own sheet if there is one."""

        def pages(wire: Wire, near: Point | None) -> str:
            far = 1 if wire.a.point == near else 0
            found = [n for n, side in self.on.get(wire.id, ()) if side == far and n != here]
            if not found:
                # While pages have no names yet: room for the longest.
                return f"{here} (2)" if wire.id in self.on else ""
            own = here.partition(" (")[0]
            name = next((n for n in found if n.partition(" (")[0] == own), found[0])
            return f"{name} (2)" if self.early else name

        return pages

    def sheets_of(self, here: str) -> Callable[[str], list[str]]:
        """For a page of a sheet: the other sheets on which an item stands."""
        own = here.partition(" (")[0]

        def sheets(item: str) -> list[str]:
            if item in self.variant.grounds or item in self.variant.buses:
                whole = GROUND if item in self.variant.grounds else POWER
                return [] if own == whole else [whole]
            wires = self.variant.wires_of_item(item)
            names = {n.partition(" (")[0] for w in wires for n, _ in self.on.get(w.id, ())} - {own}
            return sorted(names, key=natural_key)

        return sheets
